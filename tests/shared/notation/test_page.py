"""Layouts: where glyphs, stems, beams and words stand.  Lengths in staff spaces, y downward."""

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise, product

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shared.bars import METERS, SINGLE_BEATS, Bar
from shared.counting import parse_bar, parse_figure
from shared.notation.engraved import Block, Glyph, Layout
from shared.notation.marks import BEAM, BEAM_GAP, CAPITALS, MARKS, STEM, text_width
from shared.notation.page import QUIET, Dress, lay_out_bar, lay_out_figure, lay_out_whole
from shared.notation.spacing import HEAD
from shared.spelling import Spelling, spelling_from_code, spellings
from shared.sticking import natural
from tests.shared.strategies import ALL_FIGURES, ALL_SPELLINGS


def heads(layout: Layout) -> list[Glyph]:
    return sorted(glyph for glyph in layout.glyphs if glyph.name.startswith("notehead"))


def stems(layout: Layout) -> list[Block]:
    return sorted(block for block in layout.blocks if block.width == STEM)


def beams(layout: Layout) -> list[Block]:
    return [block for block in layout.blocks if block.height == BEAM]


def box(glyph: Glyph) -> tuple[float, float, float, float]:
    mark = MARKS[glyph.name]
    return glyph.x + mark.left, glyph.y + mark.top, glyph.x + mark.right, glyph.y + mark.bottom


def apart(one: tuple[float, float, float, float], other: tuple[float, float, float, float]) -> bool:
    """Whether two boxes do not overlap."""
    return one[2] <= other[0] or other[2] <= one[0] or one[3] <= other[1] or other[3] <= one[1]


def test_nothing_touches() -> None:
    """No two heads, rests, dots or flags of different notes overlap, and no rest touches a beam."""
    touching = [f"{spelling.figure.count}: {spelling.code}" for spelling in ALL_SPELLINGS if not all_apart(spelling)]
    assert touching == []


def all_apart(spelling: Spelling) -> bool:
    """Whether nothing touches in one spelling."""
    layout = lay_out_figure(spelling.figure, spelling)
    boxes = [box(glyph) for glyph in layout.glyphs if not glyph.name.startswith("flag")]
    flags = [box(glyph) for glyph in layout.glyphs if glyph.name.startswith("flag")]
    rests = [box(glyph) for glyph in layout.glyphs if glyph.name.startswith("rest")]
    bars = [(beam.x, beam.y, beam.x + beam.width, beam.y + beam.height) for beam in beams(layout)]
    return (
        all(apart(one, other) for k, one in enumerate(boxes) for other in boxes[k + 1 :])
        and all(apart(flag, other) for flag in flags for other in boxes if not other[0] < flag[0] < other[2])
        and all(apart(rest, bar) for rest in rests for bar in bars)
    )


def test_words_keep_apart_and_clear_of_the_notes() -> None:
    """Counted words never run into each other, and begin below the lowest ink of the music."""
    for figure in ALL_FIGURES:
        layout = lay_out_figure(figure, hands=["R"] * len(figure.onsets))
        rows = {word.y: sorted(w for w in layout.words if w.y == word.y) for word in layout.words}
        for one, other in (pair for row in rows.values() for pair in pairwise(row)):
            gap = other.x - one.x - (text_width(one.text, one.size) + text_width(other.text, other.size)) / 2
            assert gap >= 0.3, figure
        lowest = max(box(glyph)[3] for glyph in layout.glyphs)
        assert min(word.y - CAPITALS * word.size for word in layout.words) >= lowest + 0.4, figure


def test_time_runs_to_scale() -> None:
    """Equal times are equal widths, across the beats of a bar and inside them."""
    layout = lay_out_whole(parse_bar("1 e a 2 trip let 3 4 & a"))
    lefts = [glyph.x for glyph in heads(layout)]
    times = [0, 1 / 4, 3 / 4, 1, 4 / 3, 5 / 3, 2, 3, 3.5, 3.75]
    assert lefts == pytest.approx([layout.origin + time * layout.beat_width for time in times])


def test_count_and_sticking_stand_under_their_notes() -> None:
    """The middle of every word is the middle of its note's head."""
    bar = parse_bar("1 e a (2) & 3 trip let 4 & a")
    layout = lay_out_whole(bar, Dress(hands=natural(bar)))
    middles = [glyph.x + MARKS["noteheadBlack"].width / 2 for glyph in heads(layout)]
    count = [word for word in layout.words if word.y == layout.words[0].y]
    sticking = [word for word in layout.words if word.y != layout.words[0].y]
    assert [word.text for word in count] == bar.count.split()
    assert [word.x for word in count if "(" not in word.text] == pytest.approx(middles)
    assert [word.x for word in sticking] == pytest.approx(middles)
    assert [word.text for word in sticking] == [hand for beat in natural(bar) for hand in beat]


def test_silent_number_stands_under_its_rest() -> None:
    """A bracketed number has its middle under the middle of the rest."""
    layout = lay_out_figure(parse_figure("(1) & a"))
    rest = next(glyph for glyph in layout.glyphs if glyph.name == "rest8th")
    left, _, right, _ = box(rest)
    assert layout.words[0].text == "(1)"
    assert layout.words[0].x == pytest.approx((left + right) / 2)


def test_stems_end_at_the_outermost_beam() -> None:
    """Every stem of a group reaches the outer edge of its beam, and the beam reaches from stem to stem."""
    layout = lay_out_figure(parse_figure("1 e a"))
    outer = min(beams(layout), key=lambda block: block.y)
    assert {stem.y for stem in stems(layout)} == {outer.y}
    assert outer.x == stems(layout)[0].x
    assert outer.x + outer.width == pytest.approx(stems(layout)[-1].x + STEM)


def test_stem_meets_the_right_side_of_its_head() -> None:
    """With stems up, the stem's right edge is the head's right edge (SMuFL anchor stemUpSE)."""
    layout = lay_out_figure(parse_figure("1 e & a"))
    for head, stem in zip(heads(layout), stems(layout), strict=True):
        assert stem.x + STEM == pytest.approx(head.x + MARKS["noteheadBlack"].width)


def test_flag_hangs_from_the_stem() -> None:
    """A flag begins at its stem's left edge and at its end (SMuFL anchor stemUpNW)."""
    layout = lay_out_figure(parse_figure("(1) &"))
    flag = next(glyph for glyph in layout.glyphs if glyph.name == "flag8thUp")
    (stem,) = stems(layout)
    assert (flag.x, flag.y) == pytest.approx((stem.x, stem.y - 0.04))


@pytest.mark.parametrize(
    ("count", "bracketed"), [("1 trip let", False), ("1 let", True), ("(1) trip let", True), ("1 trip", True)]
)
def test_bracket_only_where_no_beam_shows_the_tuplet(count: str, bracketed: bool) -> None:
    """A beam over the whole tuplet carries the number alone; anything else takes a bracket."""
    layout = lay_out_figure(parse_figure(count))
    brackets = [block for block in layout.blocks if block.y < -4.2 and block.width > 1]
    assert bool(brackets) == bracketed
    assert [glyph.name for glyph in layout.glyphs if glyph.name.startswith("tuplet")] == ["tuplet3"]


@pytest.mark.parametrize("count", ["1 trip", "1 let", "(1) trip let"])
def test_bracket_ends_with_the_last_note(count: str) -> None:
    """The bracket stands over the tuplet's notes and rests alone, well clear of the next beat's bracket.

    Gould, Behind Bars (2011), "Tuplets": from the left of the first note to the right of the last (from memory).
    """
    figure = parse_figure(count)
    layout = lay_out_bar(METERS["2/4"], [figure, figure])
    ends = sorted((block.x, block.x + block.width) for block in layout.blocks if block.y < -4.2)
    first = [end for end in ends if end[0] < layout.origin + layout.beat_width - 0.5]
    last_note = layout.origin + float(max(figure.onsets)) * layout.beat_width
    assert last_note + HEAD - 0.01 <= max(right for _, right in first) <= last_note + HEAD + 1.2
    assert min(left for left, _ in ends if (left, _) not in first) - max(right for _, right in first) >= 1.0


def test_empty_beat_keeps_its_place() -> None:
    """A beat still to be answered shows its number, quietly, and takes the room of a beat."""
    figures = [parse_figure("1 e a"), None, parse_figure("1"), None]
    layout = lay_out_bar(METERS["4/4"], figures)
    assert len(heads(layout)) == 4
    assert [(word.text, word.x) for word in layout.words if word.tone == QUIET] == [
        ("2", pytest.approx(layout.column(1))),
        ("4", pytest.approx(layout.column(3))),
    ]
    assert layout.label == "1 e a _ 3 _"


def test_bar_without_a_mark_is_still_a_staff() -> None:
    """With nothing answered and nothing beside the notes, a line and a bar line remain."""
    layout = lay_out_bar(METERS["3/4"], [None] * 3, Dress(count=False, opening=False))
    assert (layout.glyphs, layout.words, len(layout.blocks), len(layout.beats)) == ((), (), 2, 3)


def test_the_last_bar_of_a_piece_ends_in_a_thin_and_a_thick_line() -> None:
    """The final bar line (common practice, no source); no plain one stands beside it."""
    plain, last = (lay_out_bar(METERS["4/4"], [None] * 4, Dress(final=final)) for final in (False, True))
    upright = [
        [one for one in layout.blocks if one.height == 2.0 and one.x > layout.origin] for layout in (plain, last)
    ]
    assert [len(blocks) for blocks in upright] == [1, 2]
    thin, thick = sorted(upright[1])
    assert thin.width < thick.width
    assert thick.x + thick.width == pytest.approx(last.width)
    assert (thin.y, thick.y) == (-1.0, -1.0)


def test_beats_divide_the_staff() -> None:
    """The spans of the beats follow each other without a gap, and each holds its own notes."""
    layout = lay_out_whole(parse_bar("1 e & a 2 3 & 4 a"))
    assert all(one.right == other.left for one, other in pairwise(layout.beats))
    assert layout.beats[1].left < layout.column(1) < layout.beats[1].right
    assert layout.beats[-1].right <= layout.width


def test_tones_colour_whole_beats() -> None:
    """Everything on a beat carries the beat's tone; staff and meter stay ink."""
    bar = parse_bar("1 e a 2 &")
    layout = lay_out_bar(bar.meter, bar.figures, Dress(hands=natural(bar)), tones=["ink", "wrong"])
    wrong = [element.x for element in (*layout.glyphs, *layout.blocks, *layout.words) if element.tone == "wrong"]
    assert len(wrong) == 2 + 3 + 2 + 2
    assert min(wrong) >= layout.beats[1].left


def test_other_spelling_keeps_the_columns() -> None:
    """Another spelling of the same sound has its heads in the same places."""
    figure = parse_figure("1 e a")
    usual, other = (lay_out_figure(figure, spelling) for spelling in spellings(figure))
    assert [head.x for head in heads(usual)] == [head.x for head in heads(other)]


def test_level_spelling_is_used() -> None:
    """A figure spelled otherwise is spelled so wherever it stands in the bar."""
    bar = parse_bar("1 e a 2 e a")
    figure = bar.figures[0]
    layout = lay_out_whole(bar, Dress(spelled={figure: spelling_from_code("s s -s s", figure)}))
    assert [glyph.name for glyph in layout.glyphs].count("rest16th") == 2


def test_short_rests_stay_near_the_line() -> None:
    """On one line no rest hangs lower than a crotchet rest, out of the way of the count."""
    for figure in ALL_FIGURES:
        layout = lay_out_figure(figure)
        assert all(box(glyph)[3] <= 1.5 for glyph in layout.glyphs)


@pytest.mark.parametrize("name", METERS)
def test_meter_opens_the_bar(name: str) -> None:
    """Clef and time signature stand before the first note; the figures of the meter are stacked."""
    meter = METERS[name]
    layout = lay_out_bar(meter, [None] * meter.beats)
    digits = [glyph.name[-1] for glyph in layout.glyphs if glyph.name.startswith("timeSig")]
    assert "".join(digits) == name.replace("/", "")
    assert all(box(glyph)[2] < layout.origin for glyph in layout.glyphs)


@given(st.data())
def test_any_bar_lies_inside_its_box(data: st.DataObject) -> None:
    """All ink of any bar lies between the layout's edges, and later notes stand further right."""
    meter = data.draw(st.sampled_from([*METERS.values(), *SINGLE_BEATS.values()]))
    pool = [figure for figure in ALL_FIGURES if figure.compound == meter.compound]
    bar = Bar(meter, tuple(data.draw(st.sampled_from(pool)) for _ in range(meter.beats)))
    layout = lay_out_whole(bar, Dress(opening=meter.name in METERS, hands=natural(bar)))
    for glyph in layout.glyphs:
        left, top, right, bottom = box(glyph)
        assert 0 <= left
        assert right <= layout.width
        assert layout.top <= top
        assert bottom <= layout.bottom
    lefts = [glyph.x for glyph in heads(layout)]
    assert len(lefts) == sum(len(figure.onsets) for figure in bar.figures)
    assert all(other - one >= MARKS["noteheadBlack"].width for one, other in pairwise(lefts))


def test_equal_layouts_are_equal() -> None:
    """A layout is a value: the same bar gives an equal one with an equal hash."""
    bar = parse_bar("1 e a 2 &")
    one, other = lay_out_whole(bar), lay_out_whole(bar)
    assert one == other
    assert hash(one) == hash(other)
    assert one != replace(other, label="another")


def test_playhead_follows_time() -> None:
    """A place in a beat is a column between the beat's note and the next beat's."""
    layout = lay_out_whole(parse_bar("1 2 3 4"))
    assert layout.column(1, Fraction(1, 2)) == pytest.approx((layout.column(1) + layout.column(2)) / 2)


def test_staff_ends_clear_of_the_last_mark() -> None:
    """No flag, dot or rest of a beat, with or without a count, comes near the bar line."""
    for spelling, count in product(ALL_SPELLINGS, (True, False)):
        layout = lay_out_figure(spelling.figure, spelling, count=count)
        rights = [box(glyph)[2] for glyph in layout.glyphs]
        rights += [word.x + text_width(word.text, word.size) / 2 for word in layout.words]
        assert max(rights) <= layout.width - 0.6 + 1e-9, spelling


@pytest.mark.parametrize("name", METERS)
def test_time_signature_stands_clear(name: str) -> None:
    """On one line no digit touches the line, or another digit."""
    layout = lay_out_bar(METERS[name], [None] * METERS[name].beats)
    digits = [box(glyph) for glyph in layout.glyphs if glyph.name.startswith("timeSig")]
    assert all(min(abs(top), abs(bottom)) >= 0.2 for _, top, _, bottom in digits)
    for k, (left, top, right, bottom) in enumerate(digits):
        assert all(apart((left - 0.1, top, right + 0.1, bottom), other) for other in digits[k + 1 :])


def test_stems_grow_for_a_third_beam() -> None:
    """Stems are three and a half spaces long under one beam or two; a third makes them longer by its own room."""
    lengths = [
        {round(note.y - min(stem.y for stem in stems(layout)), 6) for note in heads(layout)}
        for layout in map(lay_out_figure, map(parse_figure, ("1", "1 &", "1 e & a", "1 ta e ta & ta a ta")))
    ]
    assert lengths == [{3.5}, {3.5}, {3.5}, {3.5 + BEAM + BEAM_GAP}]


def test_clef_is_two_strokes() -> None:
    """The clef's strokes are as wide as each other and touch neither each other nor the time signature."""
    layout = lay_out_bar(METERS["4/4"], [None] * 4)
    one, other = sorted(block for block in layout.blocks if block.x < layout.origin and block.height == 2)
    assert one.width == other.width
    assert one.x + one.width < other.x
    assert other.x + other.width < min(box(glyph)[0] for glyph in layout.glyphs if glyph.name.startswith("timeSig"))


def test_tuplet_number_stands_close_above_its_beam() -> None:
    """The number of a beamed tuplet has its foot half a space above the beam, in the middle between the stems."""
    layout = lay_out_figure(parse_figure("1 trip let"))
    (number,) = (box(glyph) for glyph in layout.glyphs if glyph.name == "tuplet3")
    (beam,) = beams(layout)
    assert beam.y - number[3] == pytest.approx(0.5, abs=0.05)
    assert (number[0] + number[2]) / 2 == pytest.approx(beam.x + beam.width / 2)


def test_columns_are_where_notes_and_rests_begin() -> None:
    """A layout's columns are the left edges of its notes, and those where rests stand, from left to right."""
    layout = lay_out_whole(parse_bar("1 e a (2) & 3 trip let 4"))
    times = [0, 1 / 4, 3 / 4, 1, 3 / 2, 2, 7 / 3, 8 / 3, 3]
    assert layout.columns == pytest.approx([layout.origin + time * layout.beat_width for time in times])
    assert {glyph.x for glyph in heads(layout)} <= set(layout.columns)


def test_time_signature_numbers_stand_one_above_the_other() -> None:
    """The narrower number of 12/8 stands in the middle under the wider."""
    layout = lay_out_bar(METERS["12/8"], [None] * 4)
    upper, lower = ([box(g) for g in layout.glyphs if g.name.startswith("timeSig") and above(g)] for above in (
        lambda glyph: glyph.y < 0, lambda glyph: glyph.y > 0))  # fmt: skip
    middles = [(min(b[0] for b in row) + max(b[2] for b in row)) / 2 for row in (upper, lower)]
    assert (len(upper), len(lower)) == (2, 1)
    assert middles[0] == pytest.approx(middles[1])


def test_bracket_opens_in_the_middle_for_its_number() -> None:
    """The two halves of a tuplet's bracket are as long as each other, with the number between them."""
    layout = lay_out_figure(parse_figure("1 let"))
    left, right = sorted(block for block in layout.blocks if block.y < -4.2 and block.width > 1)
    (number,) = (box(glyph) for glyph in layout.glyphs if glyph.name == "tuplet3")
    assert left.width == pytest.approx(right.width, abs=STEM)
    assert left.x + left.width < number[0] < number[2] < right.x


def test_partial_beams_are_a_space_long_beside_their_stems() -> None:
    """In semiquaver, quaver, semiquaver the first hook begins at its stem, the last one ends at its own."""
    layout = lay_out_figure(parse_figure("1 e a"))
    first, last = sorted(beam for beam in beams(layout) if beam.width < 2)
    assert (first.width, last.width) == pytest.approx((1, 1))
    assert first.x == pytest.approx(stems(layout)[0].x)
    assert last.x + last.width == pytest.approx(stems(layout)[-1].x + STEM)


def test_tuplet_that_ends_in_a_rest_has_a_bracket() -> None:
    """A beam that stops before the last rest does not show how far the tuplet goes."""
    figure = parse_figure("1 trip")
    layout = lay_out_figure(figure, spelling_from_code("e e -e", figure))
    assert len([block for block in layout.blocks if block.y < -4.2 and block.width > 1]) == 2
