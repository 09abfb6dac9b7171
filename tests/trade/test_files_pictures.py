"""SVG and PDF as independent programs show them: CairoSVG and poppler."""

import io
import re
import shutil
import subprocess
from pathlib import Path

import cairosvg
import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from game.engraving.pdf import pdf
from game.engraving.surface import PADDING, Engraver
from game.engraving.svg import svg
from shared.counting import parse_bar
from shared.notation.engraved import Layout
from shared.notation.kit_staff import lay_out_kit
from shared.notation.marks import STAFF_LINE
from shared.notation.page import lay_out_whole
from shared.orchestration import Setting, arrange
from tests.sampling import some

BLACK = {"ink": "#000000"}
SPACE = 160
"""Pixels a staff space: our painter moves lines to whole pixels, which is half a pixel at most."""

BARS = {
    "figures": lay_out_whole(parse_bar("1 e a 2 trip let")),
    "rests": lay_out_whole(parse_bar("(1) & a (2) ta (e)")),
    "compound": lay_out_whole(parse_bar("1 la li (2) la")),
    "kit": lay_out_kit(arrange(parse_bar("1 e a 2 &"), Setting("kick-and-snare", seed=3))),
    "accents": lay_out_kit(arrange(parse_bar("1 e a 2 &"), Setting("accents"))),
}


def ink(surface: pygame.Surface) -> NDArray[np.int16]:
    """How dark each pixel is, from 0 to 765, the sum of its colours."""
    red, green, blue = np.moveaxis(pygame.surfarray.array3d(surface).astype(np.int16), 2, 0)
    return 765 - red - green - blue


def painted(layout: Layout) -> tuple[pygame.Surface, float]:
    """A layout by our own painter, with the height of its staff's middle in pixels."""
    picture = Engraver().picture(layout, SPACE, BLACK)
    page = pygame.Surface(picture.surface.get_size())
    page.fill("white")
    page.blit(picture.surface, (0, 0))
    return page, picture.line + round(STAFF_LINE * SPACE) / 2


def rasterised(layout: Layout, size: tuple[int, int], middle: float) -> pygame.Surface:
    """The SVG of a layout by CairoSVG, on the same pixels."""
    box = [-PADDING / SPACE, -middle / SPACE, size[0] / SPACE, size[1] / SPACE]
    frame = f'viewBox="{" ".join(map(str, box))}" width="{size[0]}" height="{size[1]}"'
    text = re.sub(r'viewBox="[^"]*" width="[^"]*" height="[^"]*"', frame, svg(layout))
    data = cairosvg.svg2png(bytestring=text.encode(), background_color="white")
    return pygame.image.load(io.BytesIO(data), "picture.png")


@pytest.mark.parametrize("name", some(3, list(BARS)))
def test_svg_looks_like_the_screen(name: str) -> None:
    """Rasterised by an independent program, the SVG differs from our painter by less than 2 % of the ink."""
    page, middle = painted(BARS[name])
    ours, theirs = ink(page), ink(rasterised(BARS[name], page.get_size(), middle))
    assert np.abs(ours - theirs).sum() < 0.02 * theirs.sum()


@pytest.fixture
def page(tmp_path: Path) -> Path:
    """A PDF of one bar."""
    if shutil.which("pdftotext") is None:
        pytest.skip("poppler's programs are not installed")
    path = tmp_path / "bar.pdf"
    path.write_bytes(pdf([lay_out_whole(parse_bar("1 e a (2) & 3 trip let 4 & a"))]))
    return path


def poppler(program: str, *words: str) -> str:
    """What one of poppler's programs prints; it must not complain."""
    done = subprocess.run([program, *words], capture_output=True, text=True, check=True)
    assert done.stderr == ""
    return done.stdout


def test_pdf_text_can_be_selected(page: Path) -> None:
    """The count is in the page as text."""
    words = poppler("pdftotext", str(page), "-").split()
    assert {"1", "e", "a", "(2)", "&", "trip", "let"} <= set(words)


def test_pdf_embeds_its_fonts(page: Path) -> None:
    """Both fonts are embedded, and cut down to what is used."""
    rows = poppler("pdffonts", str(page)).splitlines()[2:]
    assert sorted(row.split()[0].split("+")[1] for row in rows) == ["AtkinsonHyperlegibleNextBold", "DrumlinMarks"]
    assert all(row.split()[-5:-3] == ["yes", "yes"] for row in rows)


def test_pdf_looks_like_the_screen(page: Path, tmp_path: Path) -> None:
    """Poppler draws the page with as much ink as the SVG has, give or take 3 %."""
    poppler("pdftoppm", "-r", "300", "-png", "-singlefile", str(page), str(tmp_path / "page"))
    drawn = ink(pygame.image.load(tmp_path / "page.png")).sum()
    layout = lay_out_whole(parse_bar("1 e a (2) & 3 trip let 4 & a"))
    space = 2.0 / 25.4 * 300
    text = re.sub(
        r' width="[^"]*" height="[^"]*"',
        f' width="{(layout.width + 2) * space}" height="{(layout.height + 2) * space}"',
        svg(layout),
        count=1,
    )
    data = cairosvg.svg2png(bytestring=text.encode(), background_color="white")
    expected = ink(pygame.image.load(io.BytesIO(data), "x.png")).sum()
    assert drawn == pytest.approx(expected, rel=0.03)
