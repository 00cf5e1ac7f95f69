"""`python -m overcoat` is the command `overcoat`."""

from overcoat.command import main

if __name__ == "__main__":
    main()
