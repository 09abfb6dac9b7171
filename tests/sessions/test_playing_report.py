"""The report of a take: habits, hands, drift, and one sentence at most."""

from dataclasses import replace
from fractions import Fraction

import pytest

from game.sessions.playing.report import ENOUGH, Report, report
from shared.bars import Bar
from shared.counting import parse_bar, parse_figure
from shared.reading import NOTHING, SLOWER, Placed, ReadBeat, Reading
from shared.sticking import natural
from shared.strokes import TakeStroke

BAR = parse_bar("1 e a 2 & 3 e & a 4 &")


def read_as(
    bar: Bar, bars: int = 4, late: dict[Fraction, float] | None = None, hands: str = "", **known: object
) -> Reading:
    """A take of a bar, as read: each place late by so much, the deviations going 4 ms to and fro."""
    late = late or {}
    beats = []
    turn = 0
    for number in range(bars * len(bar.figures)):
        figure = bar.figures[number % len(bar.figures)]
        strokes = []
        for onset in figure.onsets:
            sway = 0.004 if turn % 2 else -0.004
            hand = hands[turn % len(hands)] if hands else None
            strokes.append(Placed(TakeStroke(float(number + onset), hand), onset, late.get(onset, 0.0) + sway))
            turn += 1
        beats.append(ReadBeat(figure, figure, 0.99, None, 0.0, tuple(strokes)))
    reading = Reading(tuple(beats), 80.0, 0.0, 0.002, 0.009, 0.1, 50.0)
    return replace(reading, **known)


def told(reading: Reading, **known: object) -> str:
    return report(reading, BAR, **known).sentence


def test_a_good_take_is_told_so() -> None:
    """Steady strokes of the figures that are written: steady is all there is to say."""
    found = report(read_as(BAR), BAR)
    assert (found.otherwise, found.unsure, found.habits, found.wrong_hands) == ((), (), (), ())
    assert found.sentence == "Very steady, 9 ms about their places."
    assert {timing.name for timing in found.places} == {"number", "e", "&", "a"}
    assert len(found.deviations) == 4 * 11


def test_a_short_take_is_not_told_to_the_millisecond() -> None:
    """One bar is too few strokes for a number."""
    assert told(read_as(BAR, bars=1)) == "Very steady."


def test_a_habit_needs_two_takes() -> None:
    """A place that is late take after take is named; in one take alone it is not, nor if the other leaned back."""
    late = {Fraction(3, 4): 0.031}
    first = report(read_as(BAR, late=late), BAR)
    assert first.habits == ()
    again = report(read_as(BAR, late=late), BAR, before=first)
    assert [timing.name for timing in again.habits] == ["a"]
    assert again.sentence == "The a comes late, by about 30 ms, in this take and the one before."
    other = report(read_as(BAR, late={Fraction(3, 4): -0.03}), BAR)
    assert report(read_as(BAR, late=late), BAR, before=other).habits == ()


def test_few_strokes_are_no_habit() -> None:
    """Fewer than six strokes name nothing, however late."""
    late = {Fraction(3, 4): 0.05}
    before = report(read_as(BAR, bars=2, late=late), BAR)
    (timing,) = (timing for timing in before.places if timing.name == "a")
    assert timing.strokes < ENOUGH
    assert report(read_as(BAR, bars=2, late=late), BAR, before=before).habits == ()


def test_small_deviations_are_no_habit() -> None:
    """What hardly anyone hears is not named."""
    late = {Fraction(1, 2): 0.010}
    before = report(read_as(BAR, late=late), BAR)
    assert report(read_as(BAR, late=late), BAR, before=before).habits == ()


def test_another_figure_comes_first() -> None:
    """What was played otherwise is told before any timing, and gives no deviations."""
    wrong = BAR.with_figures({2: parse_figure("1 e a")})
    found = report(read_as(wrong, late={Fraction(3, 4): 0.04}), BAR)
    assert found.otherwise == (2, 6, 10, 14)
    assert found.sentence == "In bar 1 you played 3 e a; written is 3 e & a."
    assert {deviation.beat % 4 for deviation in found.deviations} == {0, 1, 3}
    assert told(read_as(wrong, bars=1)) == "You played 3 e a; written is 3 e & a."
    left_out = BAR.with_figures({2: parse_figure("(1)")})
    assert told(read_as(left_out, bars=1)) == "You played nothing on beat 3; written is 3 e & a."


def test_what_is_not_sure_gives_no_deviations() -> None:
    """A beat that is not told is counted, and nothing is said of its strokes."""
    reading = read_as(BAR, bars=1)
    unsure = replace(reading.beats[1], figure=None, strokes=())
    found = report(replace(reading, beats=(reading.beats[0], unsure, *reading.beats[2:])), BAR)
    assert found.unsure == (1,)
    assert 1 not in {deviation.beat for deviation in found.deviations}
    assert found.sentence == "Not every beat is sure: play it once more."


@pytest.mark.parametrize(
    ("known", "started", "sentence"),
    [
        ({"verdict": NOTHING}, None, "Nothing came in."),
        ({"verdict": SLOWER, "spread": 0.05}, None, "The strokes lie too far apart for this tempo: play it slower."),
        ({"spread": 0.033}, None, "The strokes are uneven, 33 ms about their places: play it a little slower."),
        ({"tempo": 77.0}, 80.0, "You got slower, by 4% over the take."),
        ({"tempo": 84.0}, 80.0, "You got faster, by 5% over the take."),
        ({"tempo": 80.8}, 80.0, "Very steady, 9 ms about their places."),
        ({"offset": -0.021}, None, "You play about 20 ms before the click, your sound's delay included: no fault."),
        ({"offset": 0.009}, None, "Very steady, 9 ms about their places."),
        ({"offset": 0.02, "offset_sd": 0.015}, None, "Very steady, 9 ms about their places."),
    ],
)  # fmt: skip
def test_one_sentence_in_a_fixed_order(known: dict[str, object], started: float | None, sentence: str) -> None:
    """Nothing, another figure, a habit, the spread, drift, ahead or behind, all well: the first that holds."""
    assert told(read_as(BAR, **known), started=started) == sentence


def test_a_measured_offset_is_the_player_s_own() -> None:
    """With the click in the recording no delay of the sound is in it."""
    assert "delay" not in told(read_as(BAR, offset=0.03), measured=True)


def test_hands_are_held_against_the_sticking() -> None:
    """Strokes of the other hand than the sticking has are named; without known hands nothing is."""
    hands = "".join(hand for beat in natural(BAR) for hand in beat)
    sticking = natural(BAR)
    assert report(read_as(BAR, hands=hands), BAR, sticking).wrong_hands == ()
    assert report(read_as(BAR), BAR, sticking).wrong_hands == ()
    swapped = hands[:1] + ("R" if hands[1] == "L" else "L") + hands[2:]
    found: Report = report(read_as(BAR, bars=1, hands=swapped), BAR, sticking)
    assert [(wrong.beat, wrong.stroke) for wrong in found.wrong_hands] == [(0, 1)]
    assert {timing.name for timing in found.hands} == {"R", "L"}
