"""The words of the count as a level shows them: elsewhere "1 e & a" is spoken otherwise, and what is typed stays."""

from dataclasses import replace

import pytest

from shared.counting import SPOKEN, CountError, as_shown, parse_bar, parse_figure, put_back, words_shown
from shared.difference import difference
from shared.levels import LevelError, find_level, level_from_text, spelling_in, vocabulary
from shared.notation.kit_staff import lay_out_kit
from shared.notation.page import Dress, lay_out_bar, lay_out_figure
from shared.orchestration import Setting, arrange
from shared.spelling import spellings

TEXT = 'format = 1\ntitle = "x"\nmeter = "4/4"\nfigures = ["1", "1 e & a", "1 trip let"]\n'


@pytest.mark.parametrize(
    ("words", "count", "shown"),
    [
        ("", "1 e & a", "1 e & a"),
        ("e + e", "1 e & a 2 & (3) e a", "1 e + e 2 + (3) e e"),
        ("e und e", "(1) & a", "(1) und e"),
        ("e & a tri ole", "1 trip let 2 & 3 la", "1 tri ole 2 & 3 la"),
        ("e et a", "1 (e) ta &", "1 (e) ta et"),
    ],
)
def test_words_take_the_place_of_words(words: str, count: str, shown: str) -> None:
    """Numbers, brackets and the words that have none of their own stay."""
    assert as_shown(count, words_shown(words)) == shown


@pytest.mark.parametrize("words", ["1 e + e", "e (+) e", "a b c d e f g h i"])
def test_what_can_be_no_words_is_refused(words: str) -> None:
    """Digits and brackets have a meaning of their own, and there are eight words; a level file is told the same."""
    with pytest.raises(CountError):
        words_shown(words)
    with pytest.raises(LevelError, match=r"count.*found"):
        level_from_text(f'{TEXT}count = "{words}"\n', "x")


def test_every_word_of_the_count_can_be_shown_otherwise() -> None:
    """The eight in their order."""
    others = ["A", "B", "C", "D", "E", "F", "G", "H"]
    assert words_shown(" ".join(others)) == tuple(zip(SPOKEN, others, strict=True))


def test_notation_shows_the_words_of_the_level() -> None:
    """Under figures and bars; the figures, their spelling and the label stay."""
    level = level_from_text(TEXT + 'count = "e + e"\n', "x")
    figure = parse_figure("1 e & a")
    spelling = spelling_in(level, figure)
    assert [word.text for word in lay_out_figure(figure, spelling).words] == ["1", "e", "+", "e"]
    bar = parse_bar("1 e & a 2 3 4")
    layout = lay_out_bar(bar.meter, bar.figures, Dress({figure: spelling}))
    assert [word.text for word in layout.words] == ["1", "e", "+", "e", "2", "3", "4"]
    assert layout.label == "1 e & a 2 3 4"
    assert (spelling.code, spelling.values) == (spellings(figure)[0].code, spellings(figure)[0].values)


def test_a_figure_that_the_level_does_not_have_has_its_words_too() -> None:
    """What was heard in a take, or stands in a groove."""
    level = replace(find_level("stage-1"), count="e + e")
    figure = parse_figure("1 a")
    assert [word.text for word in lay_out_figure(figure, spelling_in(level, figure)).words] == ["1", "e"]


@pytest.mark.parametrize(
    ("words", "text", "read"),
    [
        ("e + e", "1 e + e 2 + e 3 e (4)", "1 e & a 2 & a 3 e (4)"),
        ("e + e", "1e+e", "1e&a"),
        ("e und e", "(1) e (2) (und) E 3", "(1) e (2) (&) a 3"),
        ("e et a", "1 et 2 ? 3 ET a", "1 & 2 ? 3 & a"),
        ("u e a", "1 e 2 u e a", "1 e 2 e & a"),  # what is a word of the count as it stands is left so
        ("e + e", "1 hello 2 e e e", "1 hello 2 e e e"),  # what can't be read is left for the one who says why
        ("", "1 + 2", "1 + 2"),
    ],
)
def test_shown_words_are_read_too(words: str, text: str, read: str) -> None:
    """Beat by beat, where only one figure can be meant; else the text stays as it was typed."""
    assert put_back(text, words_shown(words), compound=False) == read


def test_every_count_of_the_vocabulary_is_read_back() -> None:
    """With a word of its own for each place, what is shown is what can be typed."""
    words = words_shown("i und ä tri ole la li da")
    counts = {figure.count for figure in vocabulary().figures if not figure.compound}
    assert {count: put_back(as_shown(count, words), words, compound=False) for count in counts} == {
        count: count for count in counts
    }


@pytest.mark.parametrize(
    ("words", "told"),
    [
        ("", "“1 e”'s last stroke comes sooner, on the e, not the a."),
        ("e und a", "“1 e”'s last stroke comes sooner, on the e, not the a."),
        ("e + e", "“1 e”'s last stroke comes sooner, on the e before +, not the e after +."),
    ],
)
def test_what_to_listen_for_is_told_in_these_words(words: str, told: str) -> None:
    """A word that is shown for two places is told apart by its neighbour: "the e" would be either."""
    one, other = parse_figure("1 e"), parse_figure("1 a")
    assert difference(one, other, words=words_shown(words)).sentence.startswith(told.removesuffix("."))


def test_drum_music_shows_them_too() -> None:
    """A bar on the kit staff, as fills and charts are written."""
    bar = parse_bar("1 e & a 2 3 4")
    layout = lay_out_kit(arrange(bar, Setting()), Dress(words=words_shown("e + e")))
    assert [word.text for word in layout.words if not word.text.isdigit()][:3] == ["e", "+", "e"]
