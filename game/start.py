"""The start of the program: opens its streams, takes interrupts, and checks that its packages are its own.

Only the standard library is imported here, for another distribution's package may lie in place of one of ours.
"""

import _thread
import os
import signal
import sys
from importlib.util import find_spec
from pathlib import Path
from typing import Any

# 130 is what shells give a command that ended by signal 2, the interrupt: 128 and the signal's number.
MENDABLE, INTERRUPTED = 1, 130
"""The exit codes of what the user can mend, and of an interrupted command."""

OURS = "Drumlin: "
"""How the first line of each of our packages begins, within its quotes."""

PACKAGES = ("audio", "shared")
"""The packages that must come from where ``game`` is."""

OWN_ENVIRONMENT = "install Drumlin in an environment of its own: uv tool install, pipx install or a new venv"


def open_streams() -> None:
    """Let a closed output take what is printed and lose it, as that of a program with a window and no terminal is.

    The system's numbers 0 to 2 are taken first: else the next file that is opened gets one of them, and with it
    whatever a library prints.
    """
    # The system gives the lowest free number: once it is above 2, the three are taken.
    while (number := os.open(os.devnull, os.O_RDWR)) <= 2:
        pass
    os.close(number)
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, Path(os.devnull).open("w", encoding="utf-8"))  # noqa: SIM115
        # A name that the terminal's encoding lacks must not end a command halfway.
        getattr(sys, name).reconfigure(errors="backslashreplace")


def take_interrupts() -> None:
    """Let every signal that ends a command run its clean-up; an ignored signal stays ignored."""
    for name in ("SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None and signal.getsignal(number) is signal.SIG_DFL:
            signal.signal(number, signal.default_int_handler)
    sys.unraisablehook = _unraisable


def _unraisable(told: Any) -> None:
    """An interrupt that fell into a callback is raised once more where it can be caught, in place of a traceback."""
    if told.exc_type is KeyboardInterrupt:
        _thread.interrupt_main()
    else:
        sys.__unraisablehook__(told)


def refuse_interrupts() -> None:
    """Let nothing interrupt the end of Python, which would print a traceback."""
    for name in ("SIGINT", "SIGTERM", "SIGHUP"):
        number = getattr(signal, name, None)
        if number is not None:
            signal.signal(number, signal.SIG_IGN)


def strange_package() -> str | None:
    """One line about a package that is not Drumlin's though it has the name of one; None where all are.

    Nothing is imported: a package of another distribution would run.
    """
    # A frozen program has its packages inside it, without files to look at.
    if getattr(sys, "frozen", False):
        return None
    home = Path(__file__).resolve().parent.parent
    for name in PACKAGES:
        spec = find_spec(name)
        if spec is None or spec.origin is None or spec.loader is None:
            return _line(f"the package {name!r} is missing from {home}")
        found = Path(spec.origin).resolve().parent
        text = getattr(spec.loader, "get_source", lambda _: None)(name)
        if found != home / name:
            return _line(f"the package {name!r} in {found.parent} hides Drumlin's own in {home}")
        if not (text or "").lstrip("\"'").startswith(OURS):
            return _line(f"another distribution's package {name!r} was installed over Drumlin's in {home}")
    return None


def unloadable(error: ImportError) -> str:
    """One line about a module that can't be imported."""
    return _line(f"a part of Drumlin can't be loaded ({' '.join(str(error).split())[:200]})")


def _line(found: str) -> str:
    # The path of a folder may hold signs that move the cursor.
    printable = "".join(sign if sign.isprintable() else "?" for sign in found)
    return f"{printable}; {OWN_ENVIRONMENT}"


def say(line: str) -> None:
    """Tell the user one line."""
    print(f"drumlin: {line}", file=sys.stderr)
