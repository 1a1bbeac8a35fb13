"""`python -m countershaft` is the command line."""

from countershaft.cli.main import main

main()
