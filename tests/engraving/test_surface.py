"""The pygame painter: pixels where the layout says, in the colours asked for, and kept within bounds."""

import pygame
import pytest

from game.engraving.surface import Engraver, fit
from shared.counting import parse_bar, parse_figure
from shared.notation.engraved import Layout
from shared.notation.marks import text_width
from shared.notation.page import Dress, lay_out_bar, lay_out_figure, lay_out_whole

INKS = {"ink": "#112233", "wrong": "#b35900"}


def painted(layout: Layout, space: int, palette: dict[str, str] = INKS) -> tuple[pygame.Surface, int, int]:
    """A layout on white, with the pixel of its left edge and its line."""
    left, line = 5, round(-layout.top * space) + 5
    page = pygame.Surface((round(layout.width * space) + 10, line + round(layout.bottom * space) + 10))
    page.fill("white")
    Engraver().paint(page, layout, (left, line), space, palette)
    return page, left, line


def dark(page: pygame.Surface, x: float, y: float) -> bool:
    return page.get_at((int(x), int(y)))[0] < 100


def test_no_display_is_needed() -> None:
    """A picture comes about with neither a display nor a sound device."""
    painted(lay_out_figure(parse_figure("1 e a")), 10)
    assert not pygame.display.get_init()


@pytest.mark.parametrize("space", [4, 7, 10, 13, 20, 33])
def test_heads_stand_where_the_layout_says(space: int) -> None:
    """The middle of every head is ink, at any size, to the pixel."""
    layout = lay_out_figure(parse_figure("1 e a"))
    page, left, line = painted(layout, space)
    for at in (0, 0.25, 0.75):
        assert dark(page, left + layout.column(0, at) * space, line)


@pytest.mark.parametrize("space", [6, 10, 13, 20])
def test_lines_lie_on_whole_pixels(space: int) -> None:
    """Stems and the staff line are all ink or no ink, without a grey edge."""
    layout = lay_out_figure(parse_figure("1"), count=False)
    page, left, line = painted(layout, space)
    across = [page.get_at((x, line - 2 * space))[:3] for x in range(page.get_width())]
    down = [page.get_at((left + 8 * space, y))[:3] for y in range(page.get_height())]
    assert set(across) == set(down) == {(0x11, 0x22, 0x33), (255, 255, 255)}


def test_equal_notes_look_equal() -> None:
    """Every note of a run has the very same pixels, though its place is no whole number of pixels."""
    layout = lay_out_figure(parse_figure("1 ta trip ta let ta"), count=False)
    page, left, line = painted(layout, 11)
    notes = []
    for slot in range(6):
        x = left + int((layout.origin + slot * layout.beat_width / 6) * 11 + 0.5)
        notes.append(pygame.image.tobytes(page.subsurface((x, line - 8, 13, 16)), "RGB"))
    assert len(set(notes)) == 1


def test_beats_take_their_tones() -> None:
    """A wrong beat is painted in its own colour and the other one is not."""
    bar = parse_bar("1 e a 2 &")
    layout = lay_out_bar(bar.meter, bar.figures, tones=["ink", "wrong"])
    page, left, line = painted(layout, 10)
    assert page.get_at((int(left + layout.column(0) * 10), line))[:3] == (0x11, 0x22, 0x33)
    assert page.get_at((int(left + layout.column(1) * 10), line))[:3] == (0xB3, 0x59, 0x00)


def test_unknown_tone_is_ink() -> None:
    """A tone that the palette lacks is painted as ink."""
    layout = lay_out_figure(parse_figure("1"), tone="strange")
    page, left, line = painted(layout, 10)
    assert page.get_at((int(left + layout.column(0) * 10), line))[:3] == (0x11, 0x22, 0x33)


def test_second_painting_is_the_first() -> None:
    """What was painted once is kept: the same surface comes back for an equal layout."""
    engraver = Engraver()
    one = engraver.picture(lay_out_whole(parse_bar("1 & 2")), 10, INKS)
    other = engraver.picture(lay_out_whole(parse_bar("1 & 2")), 10, INKS)
    assert one is other


def test_another_colour_is_another_picture() -> None:
    """A change of theme never shows an old picture."""
    engraver, layout = Engraver(), lay_out_figure(parse_figure("1"))
    assert engraver.picture(layout, 10, INKS) is not engraver.picture(layout, 10, {"ink": "#ffffff"})


def test_what_is_kept_stays_bounded() -> None:
    """Hundreds of pictures leave no more behind than the painter may keep."""
    engraver, layout = Engraver(), lay_out_figure(parse_figure("1 e a"), count=False)
    for number in range(400):
        engraver.picture(layout, 40, {"ink": f"#{number:06x}"})
    kept = [picture for picture, _ in engraver.pictures.kept.values()]
    assert 0 < len(kept) < 400
    assert sum(p.surface.get_width() * p.surface.get_height() for p in kept) <= 8_000_000


@pytest.mark.parametrize(("width", "height"), [(900, 300), (400, 200), (3000, 150)])
def test_fit_is_the_largest_that_fits(width: int, height: int) -> None:
    """The staff space that fits lets every layout in, and one pixel more would not."""
    layouts = [lay_out_figure(parse_figure(count)) for count in ("1 trip let", "(1)", "1 ta e ta & ta a ta")]
    space = fit(layouts, width, height)

    def fits(space: int) -> bool:
        above, below = max(-layout.top for layout in layouts), max(layout.bottom for layout in layouts)
        return max(layout.width for layout in layouts) * space <= width and (above + below) * space <= height

    assert fits(space)
    assert not fits(space + 1)


def test_picture_holds_all_the_ink() -> None:
    """Nothing is cut off at the edges: the outermost pixels of a picture are empty."""
    for count in ("1 trip let", "(1) ta (e)", "1 ta e ta & ta a ta"):
        layout = lay_out_figure(parse_figure(count))
        for space in (5, 10, 17):
            surface = Engraver().picture(layout, space, INKS).surface
            box = surface.get_bounding_rect()
            assert box.top > 0
            assert box.bottom < surface.get_height()


def test_stickings_are_painted() -> None:
    """A row of hands adds ink below the count."""
    figure = parse_figure("1 &")
    plain, handed = lay_out_figure(figure), lay_out_figure(figure, hands=("R", "L"))
    assert handed.bottom > plain.bottom
    page, left, line = painted(handed, 20)
    y = line + round((plain.bottom + handed.bottom) / 2 * 20)
    strip = page.subsurface((left, y - 12, page.get_width() - left, 24))
    assert strip.get_bounding_rect().width > 0
    assert any(dark(page, x, y) for x in range(left, page.get_width()))


def test_dress_without_count_has_no_words() -> None:
    """Notation alone, for a question that must not give the count away."""
    assert lay_out_whole(parse_bar("1 & 2"), Dress(count=False)).words == ()


@pytest.mark.parametrize("space", [4, 6, 8, 10, 14, 20])
def test_words_are_no_wider_than_laid_out(space: int) -> None:
    """Small type takes the room the layout gave it, so that neighbouring words never touch."""
    engraver = Engraver()
    for text in ("trip", "ta", "let", "(la)", "R"):
        image = engraver.text(text, 2 * space, (0, 0, 0))
        opaque = pygame.mask.from_surface(image, 60).get_bounding_rects()
        assert max(r.right for r in opaque) - min(r.left for r in opaque) <= text_width(text, 2 * space) + 1


@pytest.mark.parametrize("space", [8, 13, 20, 27, 40])
def test_tuplet_bracket_has_clean_corners(space: int) -> None:
    """At both ends the line stops at the upright: the outermost column of the bracket is as tall as the upright."""
    layout = lay_out_figure(parse_figure("1 let"), count=False)
    page, _, line = painted(layout, space)
    upright = next(block for block in layout.blocks if block.y < -4.2 and block.width < block.height)
    top = line + round(upright.y * space)
    rows = range(top - 2, top + round(upright.height * space) + 2)
    tall = [sum(dark(page, x, y) for y in rows) for x in range(page.get_width())]
    inked = [height for height in tall if height]
    assert min(inked[0], inked[-1]) >= upright.height * space - 1
