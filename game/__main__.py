"""The command ``drumlin``, also ``python -m game``."""

import os
import sys
from collections.abc import Sequence

from game.cli.errors import guarded
from game.cli.parser import build

ENVIRONMENT = {
    "PYGAME_HIDE_SUPPORT_PROMPT": "1",  # its line would stand among what a command prints
    "OPENBLAS_NUM_THREADS": "1",  # numpy is imported in half the time, and nothing here is large
}
"""What the libraries are told before they are imported, unless the user said otherwise."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (by default the process's own) and return its exit code.

    0 done, 1 something the user can mend, 2 wrong usage, 130 interrupted.
    """
    for name, value in ENVIRONMENT.items():
        os.environ.setdefault(name, value)
    return guarded(build(), list(sys.argv[1:] if argv is None else argv))


def run() -> None:
    """The entry point of the console: run the process's command line and exit with its code."""
    for stream in (sys.stdout, sys.stderr):
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    sys.exit(main())


if __name__ == "__main__":
    run()
