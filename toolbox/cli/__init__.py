"""The command line: one module for each group of commands, loaded by name."""


def main() -> None:
    """Run the command line."""
