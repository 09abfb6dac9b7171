"""The command ``drumlin``, also ``python -m game``."""

import os
import sys
from collections.abc import Sequence

ENVIRONMENT = {
    "PYGAME_HIDE_SUPPORT_PROMPT": "1",  # its line would stand among what a command prints
    "OPENBLAS_NUM_THREADS": "1",  # numpy is imported in half the time, and nothing here is large
}
"""Environment variables that the libraries read when they are imported; the user's own come first."""


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line (by default the process's own) and return its exit code.

    0 done, 1 something the user can mend, 2 wrong usage, 130 interrupted.
    """
    from game.cli.errors import guarded
    from game.cli.parser import build

    for name, value in ENVIRONMENT.items():
        os.environ.setdefault(name, value)
    return guarded(build(), list(sys.argv[1:] if argv is None else argv))


def run() -> None:
    """The entry point of the console: run the process's command line and exit with its code.

    Nothing is imported before an interrupt is caught.
    """
    # What an interrupt before anything else leaves: the code of an interrupted command.
    code = 130
    try:
        from game import start

        start.open_streams()
        start.take_interrupts()
        code = _built() if getattr(sys, "frozen", False) else _started()
        start.refuse_interrupts()
    except KeyboardInterrupt:
        print("drumlin: interrupted", file=sys.stderr)
    sys.exit(code)


def _built() -> int:
    """The start of a built program, which is its own decoder too: see ``audio.decoding``."""
    from audio import decoder

    return decoder.main(*sys.argv[2:4]) if sys.argv[1:2] == [decoder.WORD] else _started()


def _started() -> int:
    from game import start

    strange = start.strange_package()
    if strange:
        start.say(strange)
        return start.MENDABLE
    try:
        return main()
    except ImportError as error:
        start.say(start.unloadable(error))
        return start.MENDABLE


if __name__ == "__main__":
    run()
