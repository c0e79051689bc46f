"""The command line, by `springwright` or `python -m springwright`: Ctrl-C counts from the first, while the rest is still being loaded."""

from springwright.cli.stopping import stopping


def main() -> None:
    """Run the command."""
    stopping.watch()
    with stopping.heeded():
        from springwright.cli.main import main as command

        command()


if __name__ == "__main__":
    main()
