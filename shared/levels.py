"""Level files: TOML that a teacher can read and write, checked whole before anything is used.

Shipped levels and a teacher's own are read by the same code.
"""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from shared.counting import parse_figure
from shared.figures import Figure
from shared.level_table import FORMAT, Exam, Level, LevelError, Tempo, nearest, read_level

__all__ = [
    "Exam",
    "Level",
    "LevelError",
    "Tempo",
    "Vocabulary",
    "find_level",
    "kept_names",
    "ladder_names",
    "ladder_place",
    "level_from_text",
    "level_text",
    "load_level",
    "own_names",
    "shipped_levels",
    "shipped_names",
    "vocabulary",
]

LARGEST_FILE = 20_000
"""Bytes of a level file that are read: many times the longest there is, and soon read whatever it holds."""

MOST_DOTS = 1000
"""With each dot of a key the parser copies all before it: 9,900 of them would take 300 MB."""

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
    return read_level(_table(path), path.stem, path.name, vocabulary().words)


def level_from_text(text: str, name: str) -> Level:
    """Read a level from the text of a file.  Raises ``LevelError`` listing every fault."""
    return read_level(_parsed(text, name), name, name, vocabulary().words)


def ladder_names() -> tuple[str, ...]:
    """The names of the levels that lead on from each other, from the first to the last."""
    return _ladder()[0]


def kept_names() -> tuple[str, ...]:
    """The names of shipped levels outside the ladder, kept for the records and exams that were made on them."""
    return _ladder()[1]


def ladder_place(name: str) -> int | None:
    """A level's place in the ladder, from 1; None for a level outside it."""
    names = ladder_names()
    return names.index(name) + 1 if name in names else None


def shipped_names() -> tuple[str, ...]:
    """The names of the shipped levels: the ladder in order, then the kept ones."""
    return (*ladder_names(), *kept_names())


def shipped_levels() -> tuple[Level, ...]:
    """The shipped levels, in the order of their names."""
    return tuple(load_level(SHIPPED / f"{name}.toml") for name in shipped_names())


def find_level(name: str, own: Path | None = None) -> Level:
    """Load a level by a shipped name, by the name of one in the folder ``own``, or by a file's path."""
    if name in shipped_names():
        return load_level(SHIPPED / f"{name}.toml")
    if name in own_names(own) and own is not None:
        return load_level(own / f"{name}.toml")
    if name.endswith(".toml") or _is_file(Path(name)):
        return load_level(name)
    known = (*shipped_names(), *own_names(own))
    hint, names = nearest(name, known), ", ".join(known)
    told = f"level {name[:80]!r}: there is none of that name{hint}"
    raise LevelError([f"{told}; choose from {names}, or name a .toml file"])


def own_names(own: Path | None) -> tuple[str, ...]:
    """The names of the levels in a folder of a teacher's own; none where there is no such folder."""
    return tuple(sorted(path.stem for path in own.glob("*.toml"))) if own else ()


@cache
def vocabulary() -> Vocabulary:
    """The table of figures that the program ships."""
    table = _table(SHIPPED / "figures.toml")
    grids = {
        row["title"]: tuple(parse_figure(count, row["compound"]) for count in row["figures"]) for row in table["grid"]
    }
    words = {}
    for figure in (figure for figures in grids.values() for figure in figures):
        if figure.count in table["words"]:
            words[figure] = table["words"][figure.count]
    return Vocabulary(grids, words)


def level_text(level: Level) -> str:
    """The level as the text of a level file, which reads back as the same level."""
    exam = level.exam
    lines = [
        f"format = {FORMAT}",
        f"title = {_quoted(level.title)}",
        f"about = {_quoted(level.about)}",
        f"meter = {_quoted(level.meter.name)}",
        f"figures = {_counts(level.figures)}",
        f"new = {_counts(level.new)}",
        *([f"order = {_counts(level.order)}"] if level.order else []),
        f"orchestrations = [{', '.join(map(_quoted, level.orchestrations))}]",
        f"groove_bars = {list(level.groove_bars)}",
        f"tempo = {{ low = {_number(level.tempo.low)}, high = {_number(level.tempo.high)} }}",
        "",
        "[exam]",
        *(f"{key} = {getattr(exam, key)}" for key in Exam.__dataclass_fields__),
    ]
    shipped = vocabulary().words
    own_words = {figure: word for figure, word in level.words.items() if shipped.get(figure) != word}
    for title, table in (("spelling", level.spelling), ("words", own_words)):
        if table:
            lines += ["", f"[{title}]", *(f"{_quoted(f.count)} = {_quoted(text)}" for f, text in table.items())]
    return "\n".join(lines) + "\n"


@cache
def _ladder() -> tuple[tuple[str, ...], tuple[str, ...]]:
    """The names of the ladder and those kept beside it."""
    table = _table(SHIPPED / "ladder.toml")
    return tuple(table["ladder"]), tuple(table["kept"])


def _quoted(text: str) -> str:
    escaped = text.replace("\\", "\\\\").replace('"', '\\"')
    return '"' + "".join(c if c >= " " and c != "\x7f" else f"\\u{ord(c):04x}" for c in escaped) + '"'


def _number(number: float) -> str:
    return repr(int(number) if number == int(number) else number)


def _counts(figures: tuple[Figure, ...]) -> str:
    return "[" + ", ".join(_quoted(figure.count) for figure in figures) + "]"


def _is_file(path: Path) -> bool:
    """Whether a plain file lies there; a pipe or a device does not count, for reading it may never end."""
    try:
        return path.is_file()
    except (OSError, ValueError):
        return False


def _table(path: Path) -> dict[str, Any]:
    try:
        if path.exists() and not path.is_file():
            raise LevelError([f"{path}: is no file; name a level file"])
        if path.stat().st_size > LARGEST_FILE:
            raise LevelError([f"{path}: larger than {LARGEST_FILE} bytes; a level file is a page of text"])
        text = path.read_text(encoding="utf-8")
    except UnicodeDecodeError as error:
        raise LevelError([f"{path}: byte {error.start + 1} is not UTF-8 text; save the file as UTF-8"]) from None
    except (OSError, ValueError) as error:
        reason = (getattr(error, "strerror", None) or str(error)).lower()
        raise LevelError([f"{path}: cannot be read ({reason}); check the name and the folder"]) from None
    return _parsed(text, str(path))


def _parsed(text: str, where: str) -> dict[str, Any]:
    dots = text.count(".")
    if dots > MOST_DOTS:
        raise LevelError([f"{where}: {dots} dots; a level file has a few, in its numbers and sentences"])
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise LevelError([f"{where}: not TOML: {error}"]) from None
    except (RecursionError, ValueError) as error:
        raise LevelError([f"{where}: not a level file: {error}"]) from None
