"""`python -m overcoat` is the command `overcoat`: the native program, the same as `cargo install` brings."""

from __future__ import annotations

import signal
import sys

from overcoat._core import run_command


def main() -> int:
    """Run the words of the command line; the exit code."""
    # Ctrl-C ends the program as it ends any other, unless whoever started it has it ignored
    if signal.getsignal(signal.SIGINT) is signal.default_int_handler:
        signal.signal(signal.SIGINT, signal.SIG_DFL)
    return run_command(["overcoat", *sys.argv[1:]])


if __name__ == "__main__":
    sys.exit(main())
