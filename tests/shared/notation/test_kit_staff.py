"""Arranged bars on the kit staff: hands up, feet down, heads by instrument."""

from fractions import Fraction
from itertools import pairwise

from shared.bars import METERS
from shared.counting import parse_bar
from shared.notation.engraved import Layout
from shared.notation.kit_staff import lay_out_kit
from shared.notation.marks import BEAM, BEAM_GAP, MARKS, STEM, STEM_JOINT
from shared.notation.page import Dress
from shared.notation.parts import beats_of, written_bars
from shared.orchestration import Setting, arrange
from shared.passages import Passage, Stroke


def kit(*strokes: tuple[str, float], meter: str = "2/4", velocity: float = 0.7) -> Layout:
    """A bar of strokes on beat 1, each an instrument and a place in the beat."""
    hits = tuple(Stroke(0, 1, Fraction(at), name, velocity, figure=True) for name, at in strokes)
    return lay_out_kit(Passage(METERS[meter], 80, 1, 0, hits))


def names(layout: Layout) -> list[str]:
    return [glyph.name for glyph in layout.glyphs if not glyph.name.startswith("timeSig")]


def test_drums_stand_at_their_places() -> None:
    """Snare in the third space, bass drum in the first, toms above and between (Weinberg, 1998)."""
    layout = kit(("snare", 0), ("high-tom", 0.25), ("mid-tom", 0.5), ("floor-tom", 0.75), ("kick", 0))
    heads = {glyph.y for glyph in layout.glyphs if glyph.name == "noteheadBlack"}
    assert heads == {-0.5, -1.5, -1.0, 0.5, 1.5}
    assert [(g.y, g.name) for g in kit(("cross-stick", 0)).glyphs if g.name.startswith("notehead")] == [
        (-0.5, "noteheadXBlack")
    ]


def test_cymbals_have_crosses() -> None:
    """The hi-hat stands above the staff with a cross, in a circle when open."""
    assert names(kit(("closed-hat", 0), ("open-hat", 0.5)))[:2] == ["noteheadXBlack", "noteheadCircleX"]


def test_cymbals_stand_at_their_places() -> None:
    """Hi-hat above the staff, ride on its top line, crash a line above; the foot's hi-hat below (Weinberg, 1998)."""
    cymbals = ("closed-hat", "open-hat", "ride", "crash", "foot-hat")
    heads = {name: next(g.y for g in kit((name, 0)).glyphs if g.name.startswith("notehead")) for name in cymbals}
    assert heads == {"closed-hat": -2.5, "open-hat": -2.5, "ride": -2.0, "crash": -3.0, "foot-hat": 2.5}


def test_hands_up_and_feet_down() -> None:
    """Stems of the hands rise from the staff, stems of the feet fall below it."""
    layout = kit(("closed-hat", 0), ("kick", 0))
    up, down = sorted((block for block in layout.blocks if block.width == STEM), key=lambda block: block.y)
    assert up.y < -2
    assert down.y + down.height > 2


def test_ghost_notes_stand_in_brackets() -> None:
    """A ghost note's head has brackets round it."""
    assert "noteheadParenthesis" in names(kit(("ghost", 0)))


def test_accents_stand_above() -> None:
    """An accented stroke has its sign above the stem's end; a plain one has none."""
    accented = kit(("snare", 0), velocity=1.0)
    sign = next(glyph for glyph in accented.glyphs if glyph.name == "articAccentAbove")
    assert sign.y < min(block.y for block in accented.blocks if block.width == STEM)
    head = next(glyph for glyph in accented.glyphs if glyph.name == "noteheadBlack")
    assert near(sign.x + MARKS[sign.name].width / 2, head.x + MARKS[head.name].width / 2)
    assert "articAccentAbove" not in names(kit(("snare", 0)))


def test_crash_has_a_ledger_line() -> None:
    """A head on a line beyond the staff brings that line with it."""
    ledgers = [block for block in kit(("crash", 0)).blocks if 1 < block.width < 3 and block.y < -2.5]
    assert len(ledgers) == 1


def test_feet_rest_unseen_under_the_hands() -> None:
    """Where the hands show the time, the feet's rests are left out; alone, they are written."""
    assert names(kit(("closed-hat", 0), ("closed-hat", 0.5), ("kick", 0.5))).count("rest8th") == 0
    assert names(kit(("kick", 0.5))).count("rest8th") == 1


def test_triplet_of_the_feet_alone_is_numbered() -> None:
    """A tuplet is numbered once: above, or below where only the feet have it."""
    passage = arrange(parse_bar("1 trip let 2 &"), Setting("kick-and-snare", seed=1))
    numbers = [glyph for glyph in lay_out_kit(passage).glyphs if glyph.name.startswith("tuplet")]
    assert len(numbers) >= 1
    both = kit(("snare", 0), ("snare", Fraction(1, 3)), ("kick", 0), ("kick", Fraction(2, 3)))
    assert [name for name in names(both) if name.startswith("tuplet")] == ["tuplet3"]


def test_count_is_the_figure_not_the_ostinato() -> None:
    """Under the hi-hat's quavers stands the count of the figure."""
    bar = parse_bar("1 e a 2 3 & a 4 &")
    layout = lay_out_kit(arrange(bar, Setting("kick-and-snare", seed=2)), dress=Dress(hands=()))
    assert layout.label == bar.count
    assert "".join(word.text for word in layout.words if word.text in "RL") != ""


def test_click_is_not_written() -> None:
    """A click in the bar is heard, not read."""
    bar = parse_bar("1 & 2")
    with_click = lay_out_kit(arrange(bar, Setting(click=True)))
    assert with_click == lay_out_kit(arrange(bar, Setting()))


def test_count_in_is_not_written() -> None:
    """The written bars are the groove and the figures."""
    assert written_bars(arrange(parse_bar("1 & 2"), Setting(groove_bars=2))) == (1, 2, 3)


def test_voices_share_out_the_strokes() -> None:
    """Every stroke of a bar is in one voice, at its own place."""
    passage = arrange(parse_bar("1 e a 2 e & 3 trip let 4 & a"), Setting("kick-and-snare", seed=4))
    found = [
        stroke
        for beat in beats_of(passage, passage.figure_bar)
        for part in (beat.hands, beat.feet)
        for chord in part.chords
        for stroke in chord
    ]
    assert sorted(map(repr, found)) == sorted(repr(s) for s in passage.strokes if s.bar == passage.figure_bar)


def near(place: float, wanted: float) -> bool:
    return abs(place - wanted) < 1e-6


def test_dot_of_a_foot_stands_beside_its_head() -> None:
    """A flag below the head leaves the dot in its usual place; with hands above, the flag is in its way."""
    feet, hands = kit(("kick", 0.25)), kit(("snare", 0.25))
    for layout, gap in ((feet, 0.3), (hands, 1.056 - STEM + 0.15)):
        head = next(glyph for glyph in layout.glyphs if glyph.name == "noteheadBlack")
        dot = next(glyph for glyph in layout.glyphs if glyph.name == "augmentationDot")
        assert near(dot.x - head.x - MARKS["noteheadBlack"].width, gap)


def test_ghost_brackets_touch_nothing() -> None:
    """Brackets keep clear of each other and of dots, in demisemiquavers without a count too."""
    run = [("ghost", k / 8) for k in range(8)]
    hits = tuple(Stroke(0, 1, Fraction(at), name, 0.3, figure=True) for name, at in run)
    layout = lay_out_kit(Passage(METERS["2/4"], 80, 1, 0, hits), dress=Dress(count=False))
    brackets = MARKS["noteheadParenthesis"]
    lefts = sorted(glyph.x for glyph in layout.glyphs if glyph.name == "noteheadParenthesis")
    assert all(other + brackets.left - one - brackets.right >= 0.3 for one, other in pairwise(lefts))
    dotted = kit(("snare", 0), ("ghost", 0.25))
    (dot,) = (glyph for glyph in dotted.glyphs if glyph.name == "augmentationDot")
    (bracket,) = (glyph for glyph in dotted.glyphs if glyph.name == "noteheadParenthesis")
    assert dot.x >= bracket.x + brackets.right + 0.1


def test_accents_of_the_feet_stand_below() -> None:
    """The sign is beyond the stem's end, where the flag does not reach."""
    layout = kit(("kick", 0.75), velocity=1.0)
    sign = next(glyph for glyph in layout.glyphs if glyph.name == "articAccentAbove")
    (stem,) = (block for block in layout.blocks if block.width == STEM)
    assert sign.y + MARKS[sign.name].top > stem.y + stem.height


def test_rests_make_room_for_the_other_voice() -> None:
    """A rest of the hands stands on the middle line; where the feet play too it moves up by two spaces."""
    alone, both = kit(("snare", 0.5)), kit(("snare", 0.5), ("kick", 0))
    assert [glyph.y for glyph in alone.glyphs if glyph.name == "rest8th"] == [0]
    assert [glyph.y for glyph in both.glyphs if glyph.name == "rest8th"] == [-2]


def test_inner_beams_lie_towards_the_heads() -> None:
    """A second beam lies a beam and a gap inside the first, below it for the hands and above it for the feet."""
    for name, inwards in (("snare", 1), ("kick", -1)):
        layout = kit(*((name, k / 4) for k in range(4)))
        outer, inner = sorted((block.y for block in layout.blocks if block.height == BEAM), reverse=inwards < 0)
        assert near(inner - outer, inwards * (BEAM + BEAM_GAP))


def test_stems_reach_from_head_to_beam() -> None:
    """A stem begins at its head, at the height where the head takes it, and is three and a half spaces long."""
    for name, upwards in (("snare", True), ("kick", False)):
        layout = kit((name, 0), (name, 0.5))
        head = next(glyph for glyph in layout.glyphs if glyph.name == "noteheadBlack")
        stem = min((block for block in layout.blocks if block.width == STEM), key=lambda block: block.x)
        start, tip = (stem.y + stem.height, stem.y) if upwards else (stem.y, stem.y + stem.height)
        joint = STEM_JOINT["noteheadBlack"]
        assert near(start, head.y - joint if upwards else head.y + joint)
        assert near(abs(tip - head.y), 3.5)


def test_feet_keep_apart_too() -> None:
    """Eight strokes of the foot in a beat, with the hands silent, do not touch each other."""
    run = tuple(Stroke(0, 1, Fraction(k, 8), "kick", 0.7, figure=True) for k in range(8))
    layout = lay_out_kit(Passage(METERS["2/4"], 80, 1, 0, run), dress=Dress(count=False))
    lefts = sorted(glyph.x for glyph in layout.glyphs if glyph.name == "noteheadBlack")
    assert len(lefts) == 8
    assert all(other - one >= MARKS["noteheadBlack"].width + 0.3 for one, other in pairwise(lefts))


def test_time_signature_fills_five_lines() -> None:
    """On the kit's staff the two numbers stand on their halves of it, one space above and below the middle line."""
    layout = lay_out_kit(arrange(parse_bar("1 2 3 4"), Setting()), dress=Dress(opening=True))
    assert [glyph.y for glyph in layout.glyphs if glyph.name.startswith("timeSig")] == [-1, 1]
