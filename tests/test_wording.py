"""Numbers in words, and sentences that another language can put in its own order."""

import ast
from collections.abc import Iterator
from pathlib import Path

from game.wording import counted, how_often, in_words


def test_one_has_no_s():
    """Only one of something stands alone; none of it takes the same form as many."""
    assert [counted(number, "new round") for number in (0, 1, 2)] == ["0 new rounds", "1 new round", "2 new rounds"]


def test_once_and_twice():
    """Once and twice are words, more are numbers."""
    assert [how_often(times) for times in (1, 2, 3)] == ["once", "twice", "3 times"]


def test_small_numbers_are_words():
    """From no to ten a number stands in words, beyond in digits; only one has no s."""
    assert [in_words(number, "bar") for number in (0, 1, 2, 11)] == ["no bars", "one bar", "two bars", "11 bars"]


ROOT = Path(__file__).parents[1]


def pieces_of_choice(path: Path) -> Iterator[str]:
    """The formatted texts of a file that choose one of two words in their middle."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        for part in node.values if isinstance(node, ast.JoinedStr) else ():
            chosen = part.value if isinstance(part, ast.FormattedValue) else None
            ways = (chosen.body, chosen.orelse) if isinstance(chosen, ast.IfExp) else ()
            if any(isinstance(way, ast.Constant) and str(way.value).strip().isalpha() for way in ways):
                yield f"{path.name}, line {node.lineno}: {ast.unparse(node)}"


def test_a_sentence_is_written_whole():
    """No sentence is glued of words chosen in its middle: another language would order or bend them otherwise."""
    files = [
        path for part in ("game", "shared") for path in (ROOT / part).rglob("*.py") if path.parent.name != "release"
    ]
    assert len(files) > 100
    assert [piece for path in files for piece in pieces_of_choice(path)] == []
