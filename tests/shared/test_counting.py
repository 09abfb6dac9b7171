"""The count is the language: what is printed can be read, and any text gives a bar or a clear error."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from shared.bars import METERS, SINGLE_BEATS, Bar, Meter
from shared.counting import CountError, parse_bar, parse_figure
from shared.figures import Figure
from tests.shared.strategies import ALL_FIGURES, BARS, COMPOUND_FIGURES, SIMPLE_FIGURES

WORDS = [
    "1",
    "2",
    "3",
    "4",
    "5",
    "e",
    "&",
    "a",
    "and",
    "+",
    "ah",
    "uh",
    "trip",
    "let",
    "la",
    "li",
    "ta",
    "(",
    ")",
    "(1)",
    "(e)",
    "x",
]


@pytest.mark.parametrize("figures", [SIMPLE_FIGURES, COMPOUND_FIGURES], ids=["simple", "compound"])
def test_every_figure_reads_back(figures: tuple[Figure, ...]) -> None:
    """Every onset set of every grid is read back from its own count, told which kind of beat it fills."""
    for figure in figures:
        assert parse_figure(figure.count, figure.compound) == figure


def test_words_tell_the_kind_of_beat() -> None:
    """Without being told, only what is counted by the number alone is taken for a crotchet beat."""
    for figure in ALL_FIGURES:
        plain = figure.compound and figure.count in ("1", "(1)")
        assert parse_figure(figure.count).compound == (figure.compound and not plain)


@given(BARS)
def test_every_bar_reads_back(bar: Bar) -> None:
    """A bar is read back from its count in its own meter; without the meter, what is printed again is the same."""
    assert parse_bar(bar.count, bar.meter) == bar
    assert parse_bar(bar.count).count == bar.count


@given(BARS, st.data())
def test_other_words_and_spaces_mean_the_same(bar: Bar, data: st.DataObject) -> None:
    """``and`` and ``+`` for ``&``, ``ah`` and ``uh`` for ``a``, capitals and spare spaces change nothing."""
    others = {"&": ("&", "and", "+", "AND"), "a": ("a", "ah", "uh", "Ah")}

    def reworded(word: str) -> str:
        bare = word.strip("()")
        return word.replace(bare, data.draw(st.sampled_from(others.get(bare, (bare, bare.upper())))))

    spaced = data.draw(st.sampled_from((" ", "  ", "\t", "\n "))).join(reworded(word) for word in bar.count.split())
    assert parse_bar(spaced, bar.meter) == bar


@given(st.one_of(st.text(max_size=80), st.lists(st.sampled_from(WORDS), max_size=16).map(" ".join)))
@example("1" * 401)
@example("(")
@example(")1")
@example("((1))")
@example("1 ta")
@example("²")
@example("١")
@example("İ")
@example("1 2 3 4 5")
def test_any_text_gives_a_bar_or_its_fault(text: str) -> None:
    """Whatever is typed is a bar that reads back, or one line that names the word at its place."""
    try:
        bar = parse_bar(text)
    except CountError as error:
        assert_names_its_place(error, text)
    else:
        assert parse_bar(bar.count, bar.meter) == bar


@given(st.text(max_size=40), st.sampled_from((*METERS.values(), *SINGLE_BEATS.values())))
def test_any_text_in_any_meter(text: str, meter: Meter) -> None:
    """A meter that is asked for is kept, or refused with a fault of our own."""
    try:
        assert parse_bar(text, meter).meter == meter
    except CountError as error:
        assert_names_its_place(error, text)


def assert_names_its_place(error: CountError, text: str) -> None:
    """An error is one printable line; where a word is at fault, it stands in the text where the error says."""
    assert len(str(error).splitlines()) == 1
    assert str(error).isprintable()
    if error.position:
        start = error.position - 1
        assert text[start : start + len(error.word)] == error.word
    else:
        assert error.word == ""


@pytest.mark.parametrize(
    ("text", "word", "position", "hint"),
    [
        ("1 e a 2 zz", "zz", 9, "not a word of the count"),
        ("e a", "e", 1, "begins with its number"),
        ("1 e 3", "3", 5, r"write \(2\)"),
        ("1 a e", "e", 5, "out of order"),
        ("1 e e", "e", 5, "out of order"),
        ("1 e trip", "trip", 5, "does not go with 'e'"),
        ("1 la 2 e", "e", 8, "dotted-crotchet beat"),
        ("1 e 2 la", "la", 7, "this bar is in crotchets"),
        ("1 ta", "ta", 3, "can mean several places"),
        ("1 & 2 ta", "ta", 7, "can mean two places"),
        ("1 ta ta e", "ta", 6, "no place lies between"),
        ("1 (e a", "(", 3, "never closed"),
        ("1 e) a", ")", 4, "no bracket is open"),
        ("1 ((e) a", "(", 4, "bracket inside a bracket"),
        ("1 2 3 4 5", "5", 9, "no meter has 5 beats"),
        ("0 1", "0", 1, "beat 1 comes next"),
    ],
)
def test_faults_name_word_and_place(text: str, word: str, position: int, hint: str) -> None:
    """Each kind of slip gives the word, its first character counted from 1, and what would do."""
    with pytest.raises(CountError, match=hint) as fault:
        parse_bar(text)
    assert (fault.value.word, fault.value.position) == (word, position)
    assert f"character {position}, '{word}'" in str(fault.value)


@pytest.mark.parametrize(
    ("text", "hint"), [("", "nothing is counted"), ("  \n", "nothing"), ("1 " * 300, "characters")]
)
def test_faults_of_the_whole_text(text: str, hint: str) -> None:
    """Nothing at all and far too much are refused without blaming a word."""
    with pytest.raises(CountError, match=hint) as fault:
        parse_bar(text)
    assert fault.value.position == 0


def test_too_few_beats_for_the_meter() -> None:
    """A meter that is asked for must be filled."""
    with pytest.raises(CountError, match="4/4 has 4 beats; found 2"):
        parse_bar("1 e 2", METERS["4/4"])


def test_a_figure_fills_one_beat() -> None:
    """A figure is written on beat 1 alone."""
    with pytest.raises(CountError, match="fills one beat") as fault:
        parse_figure("1 e 2")
    assert fault.value.word == "2"


@pytest.mark.parametrize("text", ["1 (e & a)", "1 (e) (&) (a)", "1"])
def test_brackets_hold_one_word_or_more(text: str) -> None:
    """What is counted without being played can be written out, word by word or together."""
    assert parse_figure(text) == parse_figure("1")
