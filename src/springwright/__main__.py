"""`python -m springwright` is the springwright command."""

from springwright.cli.main import main

main()
