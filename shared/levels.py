"""Level files: TOML that a teacher can read and write, checked whole before anything is used.

Shipped levels and a teacher's own are read by the same code.
"""

import os
import re
import tomllib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

from shared.counting import parse_figure
from shared.errors import REINSTALL
from shared.figures import Figure
from shared.level_faults import Fault, LevelError, brief, nearest, with_lines
from shared.level_table import ExamRules, Level, Tempo, read_level
from shared.memory_words import likely_syllables
from shared.spelling import Spelling, spelling_from_code, spellings

__all__ = [
    "ExamRules",
    "Fault",
    "Level",
    "LevelError",
    "Tempo",
    "Vocabulary",
    "find_level",
    "found_in",
    "kept_names",
    "ladder_names",
    "ladder_place",
    "level_from_text",
    "level_source",
    "load_level",
    "own_names",
    "read_own",
    "shipped_levels",
    "shipped_names",
    "vocabulary",
    "word_remarks",
]

# The limits below are for files from anybody: a level is mailed from teacher to teacher.
LARGEST_FILE = 20_000
"""Bytes of a level file that are read: many times the longest there is, and soon read whatever it holds."""

MOST_NAMED = 20
"""How many of a teacher's own levels an error names; further ones are only counted."""

MOST_DOTS = 1000
"""The most dots in a file: with each dot of a key the parser copies all before it, and 9,900 would take 300 MB."""

BOM = "\ufeff"
"""The mark that some editors put at the start of a file of text."""

CURLY_QUOTES = "“”„‟‘’‚‛«»"

SHIPPED = Path(__file__).resolve().parent.parent / "levels"


@dataclass(frozen=True)
class Vocabulary:
    """The whole table of figures: each grid's title and figures, and the shipped memory words."""

    grids: dict[str, tuple[Figure, ...]]
    words: dict[Figure, str]

    @property
    def figures(self) -> tuple[Figure, ...]:
        """Every figure, grid by grid."""
        return tuple(figure for figures in self.grids.values() for figure in figures)


def load_level(path: str | Path) -> Level:
    """Read a level file.  Raises ``LevelError`` listing every fault."""
    path = Path(path)
    return _level(_text(path), path.stem, path.name, str(path))


def level_from_text(text: str, name: str) -> Level:
    """Read a level from the text of a file.  Raises ``LevelError`` listing every fault."""
    return _level(text, name, name, name)


def _level(text: str, name: str, file: str, whole: str) -> Level:
    """A level of a file's text; ``whole`` names the file where it can't be read at all."""
    try:
        return read_level(_parsed(text, whole), name, file, vocabulary().words)
    except LevelError as error:
        # A fault of the file as a whole has its line already, or has none.
        addressed = any(fault.address for fault in error.faults)
        raise LevelError(with_lines(error.faults, text)) if addressed else error from None


def ladder_names() -> tuple[str, ...]:
    """The names of the levels that lead on from each other, from the first to the last."""
    return ladder()[0]


def kept_names() -> tuple[str, ...]:
    """The names of shipped levels outside the ladder, kept for the records and exams that were made on them."""
    return ladder()[1]


def ladder_place(name: str) -> int | None:
    """A level's place in the ladder, from 1; None for a level outside it."""
    names = ladder_names()
    return names.index(name) + 1 if name in names else None


def shipped_names() -> tuple[str, ...]:
    """The names of the shipped levels: the ladder in order, then the kept ones."""
    return (*ladder_names(), *kept_names())


def shipped_levels() -> tuple[Level, ...]:
    """The shipped levels, in the order of their names."""
    return tuple(map(find_level, shipped_names()))


def find_level(name: str, own: Path | None = None) -> Level:
    """Load a level by a shipped name, by the name of one in the folder ``own``, or by a file's path."""
    # Shipped names first: no file of the same name may change what the records mean by it.
    if name in shipped_names():
        return shipped_level(name)
    # A name with a folder in it must not lead out of the teacher's own.
    if own is not None and Path(name).name == name and os.path.lexists(own / f"{name}.toml"):
        return _own_level(own / f"{name}.toml")
    if name.endswith(".toml") or _is_file(Path(name)):
        return load_level(name)
    yours = own_names(own)
    known = (*shipped_names(), *yours)
    names = ", ".join((*shipped_names(), *yours[:MOST_NAMED]))
    hint = nearest(name, known)
    names += f" and {len(yours) - MOST_NAMED} more of your own" if len(yours) > MOST_NAMED else ""
    raise _refusal(
        f"level {name[:80]!r}", f"there is none of that name{hint}", f"choose from {names}, or name a .toml file"
    )


@cache
def shipped_level(name: str) -> Level:
    """A shipped level, read once: every page of levels asks for all of them."""
    with _sound(SHIPPED / f"{name}.toml") as path:
        return load_level(path)


def own_names(own: Path | None) -> tuple[str, ...]:
    """The names of the levels in a folder of a teacher's own; none where there is no such folder."""
    if own is None:
        return ()
    # Sorted, for a folder gives its files in another order on every system.
    # Hidden ones are no levels: macOS puts a file of its own beside each on a disk of another system.
    return tuple(sorted(path.stem for path in own.glob("*.toml") if not path.name.startswith(".")))


def read_own(own: Path | None) -> Iterator[tuple[str, "Level | LevelError"]]:
    """The names of a folder's levels in order, each with its level or what is wrong with it, read as it is asked for.

    What was read before and has not changed since is not read again.
    """
    for name in own_names(own):
        assert own is not None
        yield name, found_in(own, name)


def found_in(own: Path, name: str) -> "Level | LevelError":
    """The level of that name in a folder, or what is wrong with it."""
    try:
        _check_name(name)
        return _own_level(own / f"{name}.toml")
    except LevelError as error:
        return error


def _check_name(name: str) -> None:
    """Refuse a name by which the level could not be kept in the records or told from a shipped one."""
    if not name.isprintable():
        raise _refusal(brief(f"{name}.toml"), "has a name that can't be shown", "rename the file")
    if name in shipped_names():
        raise _refusal(f"{name}.toml", "has the name of a level that comes with Drumlin", "rename the file")


def _own_level(path: Path) -> Level:
    try:
        state = path.stat()
    except OSError:
        return load_level(path)
    # The file's own number too: an editor that writes beside and renames can leave time and size as they were.
    return _level_as_of(path, state.st_mtime_ns, state.st_size, state.st_ino)


@lru_cache(maxsize=4096)
def _level_as_of(path: Path, *_state: int) -> Level:
    """The level of a file as it was at a state (time, size, number of the file): the state is the key of the cache."""
    return load_level(path)


@cache
def vocabulary() -> Vocabulary:
    """The table of figures that the program ships."""
    with _sound(SHIPPED / "figures.toml") as path:
        table = tomllib.loads(_text(path))
        grids = {
            row["title"]: tuple(parse_figure(count, row["compound"]) for count in row["figures"])
            for row in table["grid"]
        }
        words = {}
        for figure in (figure for figures in grids.values() for figure in figures):
            if figure.count in table["words"]:
                words[figure] = table["words"][figure.count]
        return Vocabulary(grids, words)


def level_source(name: str, own: Path | None = None) -> str:
    """The text of the file of a shipped level, or of one in the folder ``own``.  Raises ``LevelError``."""
    return _text((SHIPPED if name in shipped_names() else own or SHIPPED) / f"{name}.toml")


def word_remarks(level: Level, file: str, text: str = "") -> list[Fault]:
    """Remarks on the memory words of a level: each word that has another number of syllables than its figure strokes.

    Syllables are guessed, so this is no fault.  ``text`` is the level's file, for the lines.
    """
    found = []
    for figure, word in level.words.items():
        strokes, likely = len(figure.onsets), likely_syllables(word)
        if likely and strokes and strokes not in likely:
            told = f'syllables in "{word}": {likely[0]}, as it seems; strokes in {figure.count}: {strokes}'
            wanted = "a word is easiest with a syllable for each stroke"
            found.append(Fault(file, ("words", figure.count), told, wanted))
    return with_lines(found, text)


@cache
def ladder() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The names of the ladder and those kept beside it."""
    with _sound(SHIPPED / "ladder.toml") as path:
        table = tomllib.loads(_text(path))
        return tuple(table["ladder"]), tuple(table["kept"])


@contextmanager
def _sound(path: Path) -> Iterator[Path]:
    """A file that came with the program.

    Whoever meets a fault in it can't mend it: any error of the block becomes one that says to install Drumlin again.
    """
    try:
        yield path
    except (ValueError, LookupError, TypeError, AttributeError) as error:
        if isinstance(error, LevelError) and error.faults[-1].wanted == REINSTALL:
            raise  # of a file that this one needs
        raise _refusal(path, "is damaged, though it came with Drumlin", REINSTALL) from None


def _is_file(path: Path) -> bool:
    """Whether a plain file lies there; a pipe or a device does not count, for reading it may never end."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _refusal(file: object, found: str, wanted: str, line: int | None = None) -> LevelError:
    """The error of a file that can't be read at all."""
    return LevelError([Fault(str(file), (), found, wanted, line)])


def _text(path: Path) -> str:
    try:
        if path.exists() and not path.is_file():
            raise _refusal(path, "is no file", "name a level file")
        # Before it is read: a file of gigabytes must not be taken in first.
        if path.stat().st_size > LARGEST_FILE:
            raise _refusal(path, f"larger than {LARGEST_FILE} bytes", "a level file is a page of text")
        return path.read_bytes().decode("utf-8").removeprefix(BOM)
    except UnicodeDecodeError as error:
        found = f"byte {error.start + 1} is not UTF-8 text"
        raise _refusal(path, found, "save the file as UTF-8") from None
    except LevelError:
        raise
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise _refusal(path, f"cannot be read ({reason})", "check the name and the folder") from None


def _parsed(text: str, file: str) -> dict[str, Any]:
    dots = text.count(".")
    if dots > MOST_DOTS:
        raise _refusal(file, f"{dots} dots", "a level file has a few, in its numbers and sentences")
    try:
        return tomllib.loads(text.removeprefix(BOM))
    except tomllib.TOMLDecodeError as error:
        raise _not_toml(file, text, str(error)) from None
    except (RecursionError, ValueError) as error:
        raise _refusal(file, f"not a level file: {error}", 'write lines such as title = "A title"') from None


def _not_toml(file: str, text: str, reason: str) -> LevelError:
    """The fault that the TOML parser found, with its line; curly quotes, as word processors make, in words of their
    own."""
    # The parser of Python 3.11 tells the place in its message alone; attributes came with 3.14.
    place = re.search(r" \(at (?:line (\d+), column \d+|end of document)\)$", reason)
    rows = text.split("\n")
    line = int(place[1]) if place and place[1] else len(rows)
    curly = "".join(dict.fromkeys(sign for sign in rows[line - 1] if sign in CURLY_QUOTES))
    if curly:
        return _refusal(file, f"found curly quotes {curly}", 'write straight ones, as in title = "A title"', line)
    told = reason[: place.start()] if place else reason
    return _refusal(file, f"not TOML: {told[:1].lower()}{told[1:]}", 'write lines such as title = "A title"', line)


@lru_cache(maxsize=32)
def spelled(level: Level) -> dict[Figure, Spelling]:
    """How a level writes its figures, and what it shows for their counts."""
    return {figure: _in_words(level, _usual(level, figure)) for figure in level.figures}


def _usual(level: Level, figure: Figure) -> Spelling:
    return spelling_from_code(level.spelling[figure], figure) if figure in level.spelling else spellings(figure)[0]


def _in_words(level: Level, spelling: Spelling) -> Spelling:
    return replace(spelling, said=level.shown) if level.count else spelling


def spelling_in(level: Level, figure: Figure) -> Spelling:
    """How the level writes a figure; one that it does not have is written as usual."""
    return spelled(level).get(figure) or _in_words(level, spellings(figure)[0])
