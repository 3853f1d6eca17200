"""Lets ``python -m toolbox`` do what the command ``toolbox`` does."""

from toolbox.cli import main

if __name__ == "__main__":
    main()
