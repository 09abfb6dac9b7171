"""Strokes are read into figures, as surely as they can be and no more."""

from fractions import Fraction
from itertools import pairwise

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from audio.reading import KEYS, MICROPHONE, PADS, confused, follow, read
from shared.bars import Bar
from shared.counting import parse_bar, parse_figure
from shared.figures import Figure
from shared.reading import NOTHING, SLOWER, Habits, Reading
from shared.strokes import Take, TakeStroke
from tests.playing import SEMIQUAVERS, STAGE_4, WITH_TRIPLETS, grids, played
from tests.sampling import some


def exact(bar: Bar, tempo: float, late: float = 0.0) -> Take:
    """A bar played to the point, all of it late by so many seconds."""
    return tuple(TakeStroke(float(beat + at) * 60 / tempo + late, hand="R") for beat, at in bar.onsets())


def counts(reading: Reading) -> list[str | None]:
    return [figure and figure.count_on(beat) for beat, figure in enumerate(reading.figures, 1)]


@pytest.mark.parametrize("late", [-0.03, 0.0, 0.03])
def test_a_bar_played_to_the_point_is_read(late: float) -> None:
    """Each beat is the figure that was played; how late all came is told as the offset, not of single strokes."""
    reading = read(exact(parse_bar("1 e a 2 & 3 trip let (4) e"), 80, late), WITH_TRIPLETS, 80, 4)
    assert counts(reading) == ["1 e a", "2 &", "3 trip let", "(4) e"]
    assert reading.offset == pytest.approx(late, abs=0.003)
    assert max(abs(placed.late or 0) for placed in reading.strokes) < 0.003
    assert [placed.at for placed in reading.beats[2].strokes] == [0, Fraction(1, 3), Fraction(2, 3)]
    assert reading.verdict == ""


@given(st.lists(st.sampled_from(WITH_TRIPLETS), min_size=4, max_size=4), st.floats(50, 90))
def test_whatever_is_played_exactly_is_told_or_not_sure(figures: list[Figure], tempo: float) -> None:
    """No bar played to the point is told as another one."""
    bar = parse_bar("1 2 3 4").with_figures(dict(enumerate(figures)))
    take = exact(bar, tempo)
    reading = read(take, WITH_TRIPLETS, tempo, 4, Habits(0, 0.015))
    if take:
        assert all(told in (None, meant) for told, meant in zip(reading.figures, figures, strict=True))


def test_an_early_stroke_belongs_to_its_beat() -> None:
    """A stroke before its beat's beginning is that beat's, early."""
    take = [TakeStroke(0.0), TakeStroke(0.75 - 0.03), TakeStroke(1.5), TakeStroke(2.25)]
    reading = read(take, SEMIQUAVERS, 80, 4)
    assert counts(reading) == ["1", "2", "3", "4"]
    assert reading.beats[1].strokes[0].late == pytest.approx(-0.03, abs=0.012)


def test_a_take_without_a_stroke_is_nothing() -> None:
    """Silence is no bar of rests: nothing of it is told."""
    for take in ((), (TakeStroke(-9.0),)):
        reading = read(take, SEMIQUAVERS, 80, 4)
        assert reading.figures == (None,) * 4
        assert reading.verdict == NOTHING
        assert Habits().after(reading) == Habits()


def test_a_silent_beat_between_strokes_is_a_rest() -> None:
    """In a take with strokes a beat without one is told as the rest it is."""
    assert counts(read(exact(parse_bar("1 & (2) 3 & 4"), 80), SEMIQUAVERS, 80, 4)) == ["1 &", "(2)", "3 &", "4"]


def test_between_two_figures_nothing_is_told() -> None:
    """Half-way between semiquavers and a triplet both are as likely, and neither is told."""
    beat = read(
        [TakeStroke(float(at) * 0.75) for at in (0, Fraction(7, 24), Fraction(17, 24))], WITH_TRIPLETS, 80, 1
    ).beats[0]
    assert beat.figure is None
    assert {beat.likeliest, beat.rival} == {parse_figure("1 e a"), parse_figure("1 trip let")}
    assert beat.certainty == pytest.approx(beat.rival_certainty, abs=0.02)
    assert all(placed.extra and placed.late is None for placed in beat.strokes)


def test_what_was_played_is_told_not_what_was_meant() -> None:
    """A bar with one stroke left out is another bar."""
    take = [stroke for k, stroke in enumerate(exact(parse_bar("1 e & a 2 & 3 e & a 4 &"), 80)) if k != 2]
    assert counts(read(take, SEMIQUAVERS, 80, 4))[0] == "1 e a"


def test_a_missed_stroke_is_named_where_no_figure_lacks_it() -> None:
    """Among figures that all have the stroke, the place that none came to is told."""
    few = (parse_figure("1 e & a"), parse_figure("1"))
    take = [stroke for k, stroke in enumerate(exact(parse_bar("1 e & a 2 e & a 3 e & a 4"), 60)) if k != 5]
    reading = read(take, few, 60, 4, source=MICROPHONE)
    assert counts(reading)[1] == "2 e & a"
    assert reading.beats[1].missed == (Fraction(1, 4),)


def test_a_bounce_is_no_stroke_of_its_own() -> None:
    """A stroke 30 ms after another one is extra, and the figure stays what it was."""
    take = exact(parse_bar("1 & 2 & 3 e & a 4"), 80)
    reading = read((*take, TakeStroke(take[2].seconds + 0.03)), SEMIQUAVERS, 80, 4, source=PADS)
    assert counts(reading) == ["1 &", "2 &", "3 e & a", "4"]
    assert [placed.stroke.seconds - take[2].seconds for placed in reading.strokes if placed.extra] == [
        pytest.approx(0.03)
    ]


def test_strokes_outside_the_beats_do_no_harm() -> None:
    """Strokes long before and after, and one on the beat after the last, are left out."""
    bar = exact(parse_bar("1 e a 2 3 & 4 & a"), 80)
    reading = read((TakeStroke(-3.1), *bar, TakeStroke(3.0), TakeStroke(4.1)), SEMIQUAVERS, 80, 4)
    assert counts(reading) == ["1 e a", "2", "3 &", "4 & a"]
    assert not [placed for placed in reading.strokes if placed.extra]


def test_uneven_strokes_are_to_be_played_slower() -> None:
    """Strokes too uneven for the grid at a tempo are said to be so; the same at half the tempo are not."""
    rng = np.random.default_rng(3)
    fast = read(played(rng, SEMIQUAVERS, 160, 32, 0.045).take, SEMIQUAVERS, 160, 32)
    slow = read(played(rng, SEMIQUAVERS, 60, 32, 0.030).take, SEMIQUAVERS, 60, 32)
    assert (fast.verdict, slow.verdict) == (SLOWER, "")


def test_order_and_place_in_time_do_not_matter() -> None:
    """The same strokes in another order are the same take."""
    take = exact(parse_bar("1 e a 2 & 3 e & a 4 &"), 90)
    assert read(take[::-1], SEMIQUAVERS, 90, 4) == read(take, SEMIQUAVERS, 90, 4)


@pytest.mark.parametrize("runs", [20, pytest.param(60, marks=pytest.mark.long)])
def test_strokes_with_the_count_in_measure_the_offset(runs: int) -> None:
    """At a tempo where a slot is less than the offset's doubt, two strokes with the count-in keep takes in place."""
    rng = np.random.default_rng(11)
    takes = [played(rng, SEMIQUAVERS, 160, 8, 0.008, offset_sd=0.04, cued=2) for _ in range(runs)]
    with_cues = [read(p.take, SEMIQUAVERS, 160, 8, cued=2) for p in takes]
    without = [read([s for s in p.take if s.seconds > -0.19 + p.offset], SEMIQUAVERS, 160, 8) for p in takes]
    shifted = [
        sum(abs(r.offset - p.offset) > 0.047 for r, p in zip(read_, takes, strict=True))
        for read_ in (with_cues, without)
    ]
    assert shifted[0] <= 1 < shifted[1]


@pytest.mark.parametrize(("late", "device"), some(2, [0.0, 0.15, 0.2, 0.3], [None, Habits(0.02, 0.015, 0.015, 0.2)]))
def test_late_sound_is_found_by_the_count_in(late: float, device: Habits | None) -> None:
    """With wireless headphones strokes come up to 0.3 s late: two along with the count-in tell, and the bar is read."""
    rng = np.random.default_rng(17)
    for _ in range(10):
        one = played(rng, SEMIQUAVERS, 80, 4, 0.012, offset_sd=0.0, cued=2)
        reading = read([TakeStroke(s.seconds + late) for s in one.take], SEMIQUAVERS, 80, 4, device, cued=2)
        assert reading.figures == one.figures
        assert reading.offset == pytest.approx(late, abs=0.03)


def test_a_device_is_learned_from_takes() -> None:
    """Each take narrows what is known of offset and spread, down to what takes differ by."""
    rng = np.random.default_rng(2)
    device = Habits(0.0, 0.04)
    widths = [device.sd]
    for _ in range(4):
        take = tuple(TakeStroke(s.seconds + 0.035) for s in played(rng, STAGE_4, 90, 16, 0.012, offset_sd=0.004).take)
        device = device.after(read(take, STAGE_4, 90, 16, device))
        widths.append(device.sd)
    assert device.offset == pytest.approx(0.035, abs=0.01)
    assert device.spread == pytest.approx(0.012, rel=0.35)
    assert widths[1] < widths[0] / 3
    assert all(later < 0.009 for later in widths[1:])


@pytest.mark.parametrize("takes", [5, pytest.param(15, marks=pytest.mark.long)])
def test_a_player_s_own_tempo_is_followed(takes: int) -> None:
    """A take that slows down by 4 % over 20 beats is read to its end, bar by bar."""
    rng = np.random.default_rng(5)
    right = total = 0
    for _ in range(takes):
        one = played(rng, STAGE_4, 80, 20, 0.0, offset_sd=0.0, cued=4)
        stretched = [TakeStroke(s.seconds * (1 + 0.02 * s.seconds / 15) + rng.normal(0, 0.01)) for s in one.take]
        reading = follow(stretched, STAGE_4, 80, 20, 4, Habits(0, 0.03), cued=4)
        right += sum(told == meant for told, meant in zip(reading.figures, one.figures, strict=True))
        total += 20
        assert reading.tempo == pytest.approx(80 / 1.04, rel=0.02)
    assert right >= 0.98 * total


def test_long_takes_are_read_in_parts_alike() -> None:
    """Read 16 beats at a time, a long take to a click says what it says read at once."""
    one = played(np.random.default_rng(8), SEMIQUAVERS, 80, 48, 0.015)
    whole, parts = read(one.take, SEMIQUAVERS, 80, 48), follow(one.take, SEMIQUAVERS, 80, 48, 16, pace_sd=0.0)
    assert parts.figures == whole.figures == one.figures


@pytest.mark.parametrize("takes", [6, pytest.param(20, marks=pytest.mark.long)])
def test_strokes_at_any_time_are_no_evidence(takes: int) -> None:
    """Strokes at random, as speech or a rattle gives them, say nothing for figures; played ones do."""
    rng = np.random.default_rng(4)
    for _ in range(takes):
        stray = [TakeStroke(float(at)) for at in np.sort(rng.uniform(0, 12, 36))]
        assert read(stray, SEMIQUAVERS, 80, 16).evidence < 0
        assert read(played(rng, SEMIQUAVERS, 80, 16, 0.02).take, SEMIQUAVERS, 80, 16).evidence > 20


def test_wider_strokes_confuse_more_figures() -> None:
    """The share of figures taken for others grows with the spread, and with the figures in question."""
    shares = [confused(SEMIQUAVERS, spread) for spread in (0.0, 0.02, 0.05, 0.08, 0.12, 0.2)]
    assert shares[0] == 0
    assert all(a <= b for a, b in pairwise(shares))
    assert confused(WITH_TRIPLETS, 0.05) > confused(SEMIQUAVERS, 0.05)


@pytest.mark.parametrize("how_many", [15, pytest.param(40, marks=pytest.mark.long)])
def test_what_is_known_of_a_player_is_told_more(how_many: int) -> None:
    """The same bars are told more fully of a player whose steadiness is known than of one who is heard first."""
    rng = np.random.default_rng(12)
    bars = [played(rng, SEMIQUAVERS, 160, 4, 0.02) for _ in range(how_many)]
    told = [
        sum(figure is not None for bar in bars for figure in read(bar.take, SEMIQUAVERS, 160, 4, player).figures)
        for player in (Habits(0, 0.015), Habits(0, 0.015, 0.02, 0.2))
    ]
    assert told[1] > 1.5 * told[0] > 0


@pytest.mark.parametrize(
    "names", [("sextuplet", "triplet"), ("demisemiquaver",), ("compound quaver", "compound semiquaver")]
)
def test_every_grid_is_read(names: tuple[str, ...]) -> None:
    """Each figure of the finer and the compound grids, played evenly at its tempo, is told."""
    figures = tuple(figure for figure in grids(*names) if not figure.is_rest)
    rng = np.random.default_rng(1)
    for k in range(0, len(figures) - 3, 2):
        chosen = figures[k : k + 4]
        times = [
            (b + float(at)) * 60 / 56 + rng.normal(0, 0.004) for b, figure in enumerate(chosen) for at in figure.onsets
        ]
        assert read([TakeStroke(time) for time in times], figures, 56, 4, Habits(0, 0.01), KEYS).figures == chosen
