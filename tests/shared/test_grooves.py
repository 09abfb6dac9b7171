"""The grooves are plain styles that a drummer can play in every meter."""

from fractions import Fraction

import pytest

from shared.bars import METERS, Meter
from shared.grooves import GROOVES, backbeat

METER = pytest.mark.parametrize("meter", METERS.values(), ids=str)


@METER
def test_every_groove_marks_the_beats(meter: Meter) -> None:
    """Bass drum on the 1, a backbeat where the meter has one, a cymbal on every beat (common practice, no source)."""
    beats = range(1, meter.beats + 1)
    for name, groove in GROOVES.items():
        on_beats = {(one.beat, one.instrument) for one in groove.strokes(meter, "R") if one.at == 0}
        assert (1, "kick") in on_beats, name
        back = {beat for beat, instrument in on_beats if instrument == groove.back}
        assert back == {beat for beat in beats if backbeat(meter, beat)}, name
        assert {beat for beat, heard in on_beats if heard in (groove.cymbal, "open-hat")} == set(beats), name


@METER
def test_a_drummer_can_play_it(meter: Meter) -> None:
    """No hand strikes twice at once, and the hand on the cymbal never leaves it."""
    for name, groove in GROOVES.items():
        strokes = [one for one in groove.strokes(meter, "L") if one.hand]
        assert len({(one.beat, one.at, one.hand) for one in strokes}) == len(strokes), name
        assert {one.hand for one in strokes if one.instrument in (groove.cymbal, "open-hat")} == {"L"}, name


@METER
def test_the_hat_opens_before_the_bar_line(meter: Meter) -> None:
    """Only the last place of the bar is open."""
    (one,) = (stroke for stroke in GROOVES["opened"].strokes(meter, "R") if stroke.instrument == "open-hat")
    assert (one.beat, one.at) == (meter.beats, Fraction(2, 3) if meter.compound else Fraction(1, 2))


def test_grooves_differ() -> None:
    """In common time no two grooves are the same, and each plays every instrument that it names."""
    heard = {
        frozenset((one.beat, one.at, one.instrument) for one in g.strokes(METERS["4/4"], "R")) for g in GROOVES.values()
    }
    assert len(heard) == len(GROOVES)
    assert {name for strokes in heard for _, _, name in strokes} >= {
        "open-hat", "cross-stick", "foot-hat", "ride", "ghost"
    }  # fmt: skip


def test_off_beats_are_softer() -> None:
    """The cymbal leans on the beats."""
    levels = {one.at == 0: one.velocity for one in GROOVES["straight"].cymbals(METERS["4/4"], "R", range(1, 5))}
    assert levels[False] < levels[True]
