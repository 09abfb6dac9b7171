"""A level as the text of a level file; a file that is there keeps its comments, its order and its layout."""

from collections.abc import Callable, Sequence
from typing import Any

import tomlkit
from tomlkit.container import Container
from tomlkit.items import AbstractTable, Array

from shared.counting import CountError, parse_figure
from shared.figures import Figure
from shared.level_keys import KEYS, Kind
from shared.level_table import FORMAT, Level, value_of
from shared.levels import BOM, level_from_text, vocabulary

Table = Container | AbstractTable


def level_text(level: Level, written: str = "") -> str:
    """The level as the text of a level file, which reads back as the same level.

    ``written`` is the text of its file as it was: what the level leaves as it is stays as it was written there,
    with the comments and the layout.  Raises ``LevelError`` where that can't be read.
    """
    if not written:
        return _text(level, None, "")
    text = _text(level, level_from_text(written, level.name), written.removeprefix(BOM))
    read = level_from_text(text, level.name)
    # Levels that differ in words alone are equal: words are compared besides.
    if read == level and read.words.items() >= level.words.items():
        return text
    # A layout that the library can't follow costs the comments, never the level.
    return _text(level, None, "")


def _text(level: Level, old: Level | None, written: str) -> str:
    """The text with each value that differs from the ``old`` level's, or with all."""
    document = tomlkit.parse(written)
    if old is None:
        document["format"] = FORMAT
    for place in sorted(KEYS, key=_rank):
        value = _own(level, place)
        if value != _own(old, place) if old else value not in ((), {}, ""):
            _put(document, place, value, level.meter.compound)
    return tomlkit.dumps(document)


def _rank(place: str) -> int:
    """The order of writing: what has a heading of its own must come after all plain keys."""
    return 2 if KEYS[place].kind is Kind.BY_FIGURE else int(place.startswith("exam."))


def _own(level: Level, place: str) -> Any:
    """The value that the level's file has to hold at a place: words that are shipped are left out."""
    value = value_of(level, place)
    if place != "words":
        return value
    shipped = vocabulary().words
    return {figure: word for figure, word in value.items() if shipped.get(figure) != word}


def _put(document: Table, place: str, value: Any, compound: bool) -> None:
    top, _, inner = place.partition(".")
    match KEYS[place].kind:
        case Kind.TEXT:
            document[top] = value
        case Kind.METER:
            document[top] = value.name
        case Kind.FIGURES:
            _put_list(document, top, [figure.count for figure in value], lambda count: _count(count, compound))
        case Kind.ORCHESTRATIONS | Kind.GROOVES:
            _put_list(document, top, list(value), lambda same: same)
        case Kind.BY_FIGURE:
            _put_texts(document, top, value, compound)
        case Kind.NUMBER:
            if top not in document:
                # As in the levels that are shipped: the exam under a heading, the tempo in one line.
                document[top] = tomlkit.table() if top == "exam" else tomlkit.inline_table()
            table: Any = document[top]
            table[inner] = int(value) if value == int(value) else value


def _count(written: Any, compound: bool) -> str | None:
    """The usual way to write a count that a file may write otherwise."""
    try:
        return parse_figure(str(written), compound).count
    except CountError:
        return None


def _put_list(document: Table, key: str, values: Sequence[Any], plain: Callable[[Any], Any]) -> None:
    """Bring a list to some values, leaving the pieces that stay, and the comments beside them, where they are."""
    array = document.get(key)
    if not isinstance(array, Array):
        document[key] = list(values)
        return
    # From the end, so that removing one moves none that is still to be looked at.
    for place in reversed(range(len(array))):
        if plain(array[place]) not in values:
            del array[place]
    for place, value in enumerate(values):
        if value not in map(plain, array):
            array.insert(place, value)
    # Pieces that changed their order: only then does the list lose its comments.
    if list(map(plain, array)) != list(values):
        document[key] = list(values)


def _put_texts(document: Table, key: str, texts: dict[Figure, str], compound: bool) -> None:
    if key not in document:
        document[key] = tomlkit.table()
    table: Any = document[key]
    wanted = {figure.count: text for figure, text in texts.items()}
    written = {_count(count, compound): str(count) for count in table}
    # By the usual way to write a count, since a file may say "1 and" where the level says "1 &".
    for count in written.keys() - wanted.keys():
        del table[written[count]]
    for count, text in wanted.items():
        name = written.get(count, count)
        if table.get(name) != text:
            table[name] = text
