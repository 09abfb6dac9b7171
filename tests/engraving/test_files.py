"""SVG, PNG and PDF as files: what is in them, and what happens when they cannot be written."""

import io
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree

import pygame
import pytest

from game.engraving import FONTS
from game.engraving.palette import colour, rgb
from game.engraving.pdf import pdf
from game.engraving.png import png
from game.engraving.svg import svg
from shared.counting import parse_bar
from shared.notation.engraved import Layout
from shared.notation.page import lay_out_bar, lay_out_whole


@pytest.fixture
def layout() -> Layout:
    """A bar with a rest, a tuplet and partial beams."""
    return lay_out_whole(parse_bar("1 e a (2) & 3 trip let 4 & a"))


def test_svg_is_labelled_with_the_count(layout: Layout) -> None:
    """A screen reader says the count of the bar."""
    root = ElementTree.fromstring(svg(layout))
    assert root.attrib["role"] == "img"
    assert root[0].text == "1 e a (2) & 3 trip let 4 & a"


def test_svg_needs_no_font(layout: Layout) -> None:
    """Everything in the picture is an outline or a rectangle."""
    root = ElementTree.fromstring(svg(layout))
    assert {child.tag.split("}")[1] for child in root} == {"title", "path", "rect"}


def test_svg_takes_tones() -> None:
    """A beat's tone is its colour in the file."""
    bar = parse_bar("1 & 2")
    toned = lay_out_bar(bar.meter, bar.figures, tones=["ink", "wrong"])
    text = svg(toned, {"ink": "#000000", "wrong": "#b35900"})
    assert text.count("#b35900") == 3


def test_png_has_the_size_asked_for(layout: Layout) -> None:
    """A larger staff space gives a larger picture."""
    widths = [pygame.image.load(io.BytesIO(png(layout, space=space)), "x.png").get_width() for space in (10, 20)]
    assert 1.95 < widths[1] / widths[0] < 2.05


def test_same_bar_same_bytes(layout: Layout) -> None:
    """No file holds the time it was made."""
    assert svg(layout) == svg(layout)
    assert png(layout) == png(layout)
    assert pdf([layout]) == pdf([layout])


def test_colours_are_read() -> None:
    """A colour is six digits; a tone without one is ink."""
    assert rgb("#b35900") == (0xB3, 0x59, 0x00)
    assert colour({"ink": "#000000"}, "wrong") == "#000000"


@pytest.mark.parametrize("name", ["DrumlinMarks", "AtkinsonHyperlegibleNext"])
def test_fonts_travel_with_their_licence(name: str) -> None:
    """Beside each font lies the licence it came under (SIL Open Font License 1.1)."""
    assert list(FONTS.glob(f"{name}-*.ttf"))
    assert "SIL OPEN FONT LICENSE Version 1.1" in (FONTS / f"{name}-OFL.txt").read_text()


def test_music_font_has_a_name_of_our_own() -> None:
    """The licence reserves the name of the font that ours was cut from."""
    from fontTools.ttLib import TTFont

    names = TTFont(FONTS / "DrumlinMarks-Regular.ttf")["name"]
    assert names.getDebugName(1) == "Drumlin Marks"
    assert all("Bravura" not in names.getDebugName(number) for number in (1, 3, 4, 6))


def test_signs_that_the_font_lacks_make_no_noise() -> None:
    """A name in any script goes onto a page, and the library says nothing on the terminal about it."""
    says = "page = PdfPage('x'); page.add_page(); page.say('Wren \N{DRUM WITH DRUMSTICKS} 你', 20, 20, 8); page.bytes()"
    ended = subprocess.run(
        [sys.executable, "-c", f"from game.engraving.pdf import PdfPage; {says}"],
        cwd=Path(__file__).parents[2], capture_output=True, check=True,
    )  # fmt: skip
    assert (ended.stdout, ended.stderr) == (b"", b"")
