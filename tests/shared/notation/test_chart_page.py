"""A chart on the page: every stroke of a fill stands there, signs at their bars, lines as wide as asked."""

import pytest

from shared.forms import FORMS, drawn, made
from shared.instruments import INSTRUMENTS
from shared.levels import find_level
from shared.notation.chart_page import LINE_GAP, ChartLine, lay_out_chart, on_one_page, signs_of
from shared.orchestration import Setting
from tests.shared.fills import fill

FILLS = [fill("1 & 2 & 3 e & a 4", "sshhMmmmf"), fill("1 e a 2 & 3 4 &", "ssshhmff")]
CHART = made(FORMS["sixteen bars"], FILLS)


def names(line: ChartLine, bar: int) -> list[str]:
    return [glyph.name for glyph in line.layouts[bar].glyphs]


def test_every_stroke_of_a_fill_is_written() -> None:
    """A head for each stroke, at the height of its drum (Weinberg, 1998), and an accent where it was accented."""
    lines = lay_out_chart(CHART, Setting())
    for line, played in zip(lines, FILLS, strict=True):
        layout = line.layouts[3]
        heads = [glyph for glyph in layout.glyphs if glyph.name.startswith("notehead")]
        heights = [2.0 - INSTRUMENTS[one.stroke.drums[0]].line / 2 for one in played.placed()]
        assert [head.y for head in sorted(heads, key=lambda glyph: glyph.x)] == heights
        accents = sum(one.stroke.force == "accent" for one in played.placed())
        assert names(line, 3).count("articAccentAbove") == accents
        assert [word.text for word in layout.words][1:] == played.count.split()


def test_signs_stand_at_their_bars() -> None:
    """Repeat dots at both ends of each stretch, a dynamic where a phrase begins, one sign for a groove that goes on."""
    first, second = lay_out_chart(CHART, Setting())
    for line, dynamic in ((first, "dynamicMF"), (second, "dynamicForte")):
        assert names(line, 0).count("repeatDot") == names(line, 3).count("repeatDot") == 2
        assert dynamic in names(line, 0)
        assert names(line, 1) == names(line, 2) == ["repeat1Bar"]
        assert "repeat1Bar" not in names(line, 0)
    assert [signs_of(CHART, bar).final for bar in (6, 7)] == [False, True]
    assert [layout.words[0].text for line in (first, second) for layout in line.layouts] == [*"12345678"]


def test_the_time_signature_stands_once() -> None:
    """It opens the first line; the others open with the clef alone (E. Gould, Behind Bars, 2011)."""
    first, second = lay_out_chart(CHART, Setting())
    assert names(first, 0).count("timeSig4") == 2
    assert "timeSig4" not in names(second, 0)


@pytest.mark.parametrize("width", [120.0, 180.0, 400.0])
@pytest.mark.parametrize("across", [2, 4])
def test_lines_are_as_wide_as_asked(width: float, across: int) -> None:
    """A line fills the width it is given where the notes leave room, and is never narrower than they need."""
    narrow = lay_out_chart(CHART, Setting(), across)
    for line, least in zip(lay_out_chart(CHART, Setting(), across, width=width), narrow, strict=True):
        assert line.width == pytest.approx(max(width, least.width), abs=0.01) or line.width <= least.width + 0.01


def test_ink_lies_inside_the_layout() -> None:
    """Nothing of a bar reaches above its top, below its bottom or beyond its ends, in every meter of the stages."""
    for level in map(find_level, ("stage-1", "stage-4", "stage-8")):
        for form in FORMS.values():
            for line in lay_out_chart(drawn(form, level.meter, level.figures, 60, 3), Setting(groove="ride")):
                for layout in line.layouts:
                    boxes = [(b.x, b.y, b.x + b.width, b.y + b.height) for b in layout.blocks]
                    assert min(left for left, *_ in boxes) >= 0
                    assert max(right for *_, right, _ in boxes) <= layout.width + 0.01
                    assert min(top for _, top, *_ in boxes) >= layout.top - 0.01
                    assert max(bottom for *_, bottom in boxes) <= layout.bottom + 0.01


def test_a_picture_has_all_lines() -> None:
    """As one layout the lines stand one below the other, none over another, with everything in them."""
    lines = lay_out_chart(CHART, Setting())
    page = on_one_page(lines)
    assert len(page.glyphs) == sum(len(layout.glyphs) for line in lines for layout in line.layouts)
    assert page.height == pytest.approx(sum(sum(line.reach) for line in lines) + LINE_GAP)
    assert page.width == max(line.width for line in lines)
