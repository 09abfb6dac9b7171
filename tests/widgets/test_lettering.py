"""Text stays in its box."""

import pytest
from fontTools.ttLib import TTFont
from hypothesis import given
from hypothesis import strategies as st

from game.engraving import FONTS
from game.widgets.lettering import SMALLEST, drawn, fit, lacking_words, line_height, width


def test_short_text_keeps_its_size() -> None:
    """What fits is left as it is."""
    fitted = fit("Hear it again", (400, 60), 24)
    assert (fitted.lines, fitted.size, fitted.cut) == (("Hear it again",), 24, False)


def test_long_text_is_wrapped_at_words() -> None:
    """Lines break between words, and no word is lost."""
    text = "The last stroke falls on the a of three"
    fitted = fit(text, (160, 300), 20)
    assert len(fitted.lines) > 1
    assert " ".join(fitted.lines) == text


def test_text_shrinks_before_it_is_cut() -> None:
    """A box a little too small makes the type smaller, not the text shorter."""
    box = (width("one long line", 24) - 8, line_height(24))
    fitted = fit("one long line", box, 24)
    assert fitted.size < 24
    assert not fitted.cut


def test_cut_text_says_so() -> None:
    """Where nothing helps, the text ends with a sign of omission and is marked as cut."""
    fitted = fit("a name that nobody could ever fit in here", (60, 20), 20)
    assert fitted.cut
    assert fitted.lines[-1].endswith("…")


def test_line_breaks_are_kept() -> None:
    """A break in the text is a break on the page."""
    assert fit("one\ntwo", (400, 100), 20).lines == ("one", "two")


@given(
    text=st.text(st.characters(codec="utf-8", exclude_categories=("Cs", "Cc")), max_size=60),
    box=st.tuples(st.integers(40, 600), st.integers(16, 200)),
    size=st.integers(14, 60),
)
def test_any_text_fits_any_box(text: str, box: tuple[int, int], size: int) -> None:
    """Whatever the text: it is never wider than its box, nor smaller than it may be."""
    fitted = fit(text, box, size)
    assert fitted.width <= box[0]
    assert fitted.size >= min(size, max(9, round(size * SMALLEST)))
    assert fitted.cut or fitted.height <= box[1]


@pytest.mark.parametrize("size", [12, 24, 60])
def test_bold_text_is_measured_as_bold(size: int) -> None:
    """Bold letters are wider, and their measure knows it."""
    assert width("Three in a beat", size, bold=True) > width("Three in a beat", size)


def test_drawn_text_stays_bounded() -> None:
    """Hundreds of long lines of large type leave no more behind than the shelf has room for."""
    for number in range(400):
        drawn(f"{number}: a long line of large type", 60, "#112233")
    kept = [image for image, _ in drawn.shelf.kept.values()]
    assert 0 < len(kept) < 400
    assert sum(image.get_width() * image.get_height() for image in kept) <= drawn.shelf.pixels


ALPHABETS = {
    "German": "äöüß", "French": "àâæçéèêëîïôœùûüÿ\u202f", "Spanish": "áéíñóúü¿¡", "Italian": "àèéìòù",
    "Dutch": "áéëïóöü", "Polish": "ąćęłńóśźż", "Russian": "абвгдеёжзийклмнопрстуфхцчшщъыьэюя",
    "Ukrainian": "абвгґдеєжзиіїйклмнопрстуфхцчшщьюя", "Serbian": "абвгдђежзијклљмнњопрстћуфхцчџш",
    "Bulgarian": "абвгдежзийклмнопрстуфхцчшщъьюя", "Greek": "αάβγδεέζηήθιίϊΐκλμνξοόπρσςτυύϋΰφχψωώ",
}  # fmt: skip
"""The letters of some languages (the main exemplar characters of the Unicode CLDR; from memory)."""


@pytest.mark.parametrize("language", ALPHABETS)
@pytest.mark.parametrize("weight", ["Regular", "Bold"])
def test_names_of_many_languages_can_be_drawn(language: str, weight: str) -> None:
    """Each letter, small and capital, has a shape of its own in both weights."""
    letters = ALPHABETS[language]
    with TTFont(FONTS / f"AtkinsonHyperlegibleNext-{weight}.ttf") as opened:
        assert {ord(letter) for letter in letters + letters.upper()} <= set(opened.getBestCmap())
    assert lacking_words(letters) == ""


def test_letters_that_the_type_lacks_are_told() -> None:
    """A name in another script stands as boxes; whoever writes it is told, and how many letters that concerns."""
    assert lacking_words("Wren") == ""
    assert lacking_words("小明 Wren").startswith("2 letters are not in this type")
    assert lacking_words("Wren 小").startswith("1 letter is not in this type")


@pytest.mark.parametrize("wide", range(120, 260, 10))
def test_a_tempo_stays_in_one_line(wide: int) -> None:
    """A line ends before "crotchet = 60", not within it."""
    fitted = fit("Stage 3, crotchet = 60", (wide, 200), 18)
    assert any("crotchet = 60" in line for line in fitted.lines)
