"""`python -m springwright` is the springwright command."""

from springwright.cli.main import main

if __name__ == "__main__":
    main()
