"""Forms: what a page asks for, and how what was typed becomes an entry or a word beside each field."""
