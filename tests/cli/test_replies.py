"""What may be typed for a question."""

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.cli.replies import read_figures
from game.learning import Question
from game.learning.question import Reason, question_id
from shared.counting import CountError, parse_bar, parse_figure
from shared.orchestration import Setting


def question(bar: str, *beats: int) -> Question:
    """A question about these beats (from 1) of a bar."""
    heard = parse_bar(bar)
    return Question(heard, tuple(beat - 1 for beat in beats), heard.figures, Setting(), Reason(""), question_id(bar))


FILL = question("1 & 2 & 3 e a 4 & a", 3, 4)
LAST = question("1 & 2 & 3 & 4 e & a", 4)


@pytest.mark.parametrize(
    "text", ["1 & 2 & 3 e a 4 & a", "(1) (2) 3 e a 4 & a", "3 e a 4 & a", "3 E ah, 4 and a".replace(",", "")]
)
def test_part_of_a_bar(text: str) -> None:
    """The whole bar or only the asked beats will do."""
    assert read_figures(text, FILL) == (parse_figure("1 e a"), parse_figure("1 & a"))


APART = question("1 e a 2 & 3 e a 4 & a", 1, 3)


@pytest.mark.parametrize("text", ["1 e a 3 e a", "1 e a (2) 3 e a (4)", "1 e a 2 & 3 e a 4 & a"])
def test_asked_beats_with_others_between(text: str) -> None:
    """Where others lie between the asked beats, these alone will do, or the whole bar."""
    assert read_figures(text, APART) == (parse_figure("1 e a"), parse_figure("1 e a"))
    assert read_figures("(1) e 3 &", APART) == (parse_figure("(1) e"), parse_figure("1 &"))
    assert read_figures("1 (3)", APART) == (parse_figure("1"), parse_figure("(1)"))


@pytest.mark.parametrize("text", ["1 e & a", "4 e & a", "1 & 2 & 3 & 4 e & a"])
def test_one_beat(text: str) -> None:
    """One asked beat may be counted on beat 1, on its own beat, or in its bar."""
    assert read_figures(text, LAST) == (parse_figure("1 e & a"),)


def test_one_compound_beat() -> None:
    """A single figure is read in the kind of beat that is asked."""
    (said,) = read_figures("2", question("1 la li 2", 2))
    assert said.compound


@pytest.mark.parametrize(
    ("text", "asked", "said"),
    [
        ("3 e a 4 zz", FILL, "character 9, 'zz': not a word of the count"),
        ("1 e a 3 zz", APART, "character 9, 'zz': not a word of the count"),
        ("1 zz 3 e", APART, "character 3, 'zz': not a word of the count"),
        ("3 e 1 a", APART, "character 1, '3': beat 1 comes next"),
        ("3 e a", FILL, "4/4 has 4 beats; found 3"),
        ("3 e & a", LAST, "character 1, '3': beat 1 comes next"),
        ("", LAST, "nothing is counted"),
    ],
)
def test_places_are_those_of_the_typed_text(text: str, asked: Question, said: str) -> None:
    """A refusal names the place in what was typed."""
    with pytest.raises(CountError) as fault:
        read_figures(text, asked)
    assert str(fault.value).startswith(said)


@given(st.text(alphabet="1234 &ea()tripletzla+x²", max_size=30), st.sampled_from([FILL, LAST, question("1 2", 1, 2)]))
def test_any_text(text: str, asked: Question) -> None:
    """Any text gives a figure for each asked beat or a ``CountError`` whose place lies in it."""
    with contextlib.suppress(CountError):
        assert len(read_figures(text, asked)) == len(asked.asked)


@given(st.text(alphabet="1234 &ea()z", max_size=20))
def test_any_place(text: str) -> None:
    """Where a text is refused its place lies in the text."""
    with pytest.raises(CountError) as fault:
        read_figures(text + "zz", FILL)
    assert 0 <= fault.value.position <= len(text) + 2
