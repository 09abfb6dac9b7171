"""Turns every error of a command into an exit code and a line for the user.

A ``UserError`` carries a line for the user, who can mend it.  Anything else is a bug of ours: the details go into
the data folder, one line says where.
"""

import argparse
import os
import sys
from collections.abc import Sequence
from pathlib import Path

from game.data_folder import data_folder, write_report
from game.start import INTERRUPTED, MENDABLE, unloadable
from shared.errors import UserError
from shared.files import shown

DONE, USAGE = 0, 2
"""The other exit codes, beside ``MENDABLE`` and ``INTERRUPTED``."""


def guarded(parser: argparse.ArgumentParser, argv: Sequence[str]) -> int:
    """Read and run a command line; every ending becomes an exit code, and none a traceback."""
    # Made here and not by the parser: where a command fails halfway, --data-dir is still known for the report.
    options = argparse.Namespace()
    try:
        code = _ran(parser, argv, options)
        # What a full disk does not take shows only now, help included.
        sys.stdout.flush()
        return code
    except KeyboardInterrupt:
        say("interrupted")
        return INTERRUPTED
    except BrokenPipeError:
        # Whoever reads our output has seen enough, as `head` does: that is no fault.
        _close_output()
        return DONE
    except Exception as error:
        return _told(error, getattr(options, "data_dir", None))


def _ran(parser: argparse.ArgumentParser, argv: Sequence[str], options: argparse.Namespace) -> int:
    try:
        parser.parse_args(argv, options)
        return int(options.run(options))
    # Help and version end so, and wrong usage.
    except SystemExit as leaving:
        return leaving.code if isinstance(leaving.code, int) else MENDABLE


def say(message: str) -> None:
    """Print a message for the user on the error stream, every line marked as ours."""
    for line in message.splitlines():
        print(f"drumlin: {line}", file=sys.stderr)


def _told(error: Exception, data_dir: str | None) -> int:
    if isinstance(error, UserError):
        say(str(error))
    # An OSError that names no file came from the output stream: those of files are told in our own words before.
    elif isinstance(error, OSError) and error.filename is None:
        _close_output()
        say(f"the output can't be written: {error.strerror or error}; make room or send it elsewhere")
    elif isinstance(error, ImportError):
        say(f"{unloadable(error)}; {_kept(data_dir)}")
    else:
        say(f"something went wrong inside Drumlin ({_brief(error)}); {_kept(data_dir)}")
    return MENDABLE


def _brief(error: Exception) -> str:
    # In one line and not for ever: some libraries put a whole page into a message, and all of it is in the report.
    said = " ".join(str(error).split())
    return f"{type(error).__name__}: {said[:200]}" if said else type(error).__name__


def _kept(data_dir: str | None) -> str:
    """Write the traceback at hand into the data folder and say where it is."""
    try:
        folder = data_folder(data_dir)
    except UserError as error:
        return f"the details could not be kept: {error}"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return f"the details are in {shown(write_report(folder))}"
    except OSError:
        return f"the details could not be kept in {shown(folder)}; --data-dir names another folder"


def _close_output() -> None:
    """Let nothing more be written to an output that is gone, not even when Python ends."""
    try:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except (OSError, ValueError):
        # An output without a number of the system's, as in a program without a console: then Python's own is replaced.
        sys.stdout = Path(os.devnull).open("w")  # noqa: SIM115
