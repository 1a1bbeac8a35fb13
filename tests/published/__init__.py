"""Values from books, standards and papers, held against the program."""
