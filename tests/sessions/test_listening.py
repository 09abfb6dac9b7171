"""How a bar is heard: every choice leaves the figures' own strokes as they are."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from game.sessions.practice.hearing import Heard, as_answered, heard, in_turn, repeated
from game.sessions.practice.listening import LOOPS, PACES, Listening
from shared.counting import parse_bar, parse_figure
from shared.orchestration import ORCHESTRATIONS, Setting, arrange, hats_down
from shared.passages import Stroke

BAR = parse_bar("1 e a 2 & 3 e a 4 & a")
SETTING = Setting("kick-and-snare", tempo=80, groove_bars=1, seed=5)


def figure_strokes(what: Heard, bar: int | None = None) -> list[Stroke]:
    """The figures' strokes of a bar, as if it were the first."""
    bar = what.passage.figure_bar if bar is None else bar
    return [replace(stroke, bar=0) for stroke in what.passage.strokes if stroke.figure and stroke.bar == bar]


def test_usual_listening_is_the_question_itself() -> None:
    """Without any choice the bar is played as the level asks."""
    assert Listening().bar(BAR, SETTING, "The bar").passage == arrange(BAR, SETTING)
    assert Listening().told() == ""


@pytest.mark.parametrize("name", ORCHESTRATIONS)
@pytest.mark.parametrize("choice", [{"count_in": False}, {"click": True}, {"hats_down": True}, {"loop": True}], ids=str)
def test_no_choice_touches_the_figures(name: str, choice: dict[str, bool]) -> None:
    """Drums, places and velocities of the figures stay, in every orchestration."""
    setting = replace(SETTING, orchestration=name)
    plain, chosen = (one.bar(BAR, setting, "The bar") for one in (Listening(), Listening(**choice)))
    assert figure_strokes(plain) == figure_strokes(chosen)


@pytest.mark.parametrize("pace", PACES)
def test_paces_are_played_not_stretched(pace: float) -> None:
    """The same strokes at a share of the tempo."""
    chosen = Listening(pace=pace).bar(BAR, SETTING, "The bar").passage
    assert chosen.tempo == 80 * pace
    assert chosen.strokes == arrange(BAR, SETTING).strokes


def test_slower_goes_round() -> None:
    """Full, three quarters, half, and full again."""
    one = Listening()
    paces = [one.pace, one.slower.pace, one.slower.slower.pace, one.slower.slower.slower.pace]
    assert paces == [1.0, 0.75, 0.5, 1.0]


def test_hats_down_softens_the_ostinato_alone() -> None:
    """Hats are at two fifths of their velocity; a figure on the hat is not touched."""
    for name in ("kick-and-snare", "hat"):
        plain = arrange(BAR, replace(SETTING, orchestration=name))
        for before, after in zip(plain.strokes, hats_down(plain).strokes, strict=True):
            ostinato = before.instrument == "closed-hat" and not before.figure
            assert after.velocity == pytest.approx(before.velocity * (0.4 if ostinato else 1))


def test_loop_repeats_the_bar_without_its_lead_in() -> None:
    """Count-in and groove come once, then the bar, time after time without a break."""
    looped = Listening(loop=True).bar(BAR, SETTING, "The bar")
    assert looped.passage.bars == 2 + LOOPS == len(looped.words)
    assert figure_strokes(looped, 2) == figure_strokes(looped, 2 + LOOPS - 1)
    assert looped.words[:3] == ("Count-in", "Groove", "The bar")


def test_played_and_answered_in_turn() -> None:
    """One sound: the bar as played, a counted bar, the bar as answered, at one gain."""
    answered = as_answered(BAR, {0: parse_figure("1 & a")})
    both = Listening().bars_in_turn(BAR, answered, SETTING)
    assert both.words == ("Count-in", "Groove", "As played", "Count-in", "As you said")
    assert figure_strokes(both, 2) == figure_strokes(heard(arrange(BAR, SETTING), ""))
    assert [stroke.at for stroke in figure_strokes(both, 4)[:3]] == list(parse_figure("1 & a").onsets)
    assert both.passage.gain == arrange(BAR, SETTING).gain


def test_beats_in_turn_keep_their_sticks() -> None:
    """A beat as played and as answered, each between sticks of its own, on the same place of the bar."""
    answered = as_answered(BAR, {2: parse_figure("1")})
    both = Listening().beats_in_turn(BAR, answered, SETTING, 2)
    assert (both.words, both.beat) == (("As played", "As you said"), 2)
    sticks = [(stroke.bar, stroke.beat) for stroke in both.passage.strokes if stroke.instrument == "sticks"]
    assert sticks == [(0, 1), (0, 2), (0, 4), (1, 1), (1, 2), (1, 4)]
    assert len(figure_strokes(both, 1)) == 1


def test_choices_are_told_in_words() -> None:
    """What differs from the usual is said, in the order of the panel."""
    everything = Listening(0.5, count_in=False, click=True, hats_down=True, loop=True)
    assert everything.told() == "No count-in, click, hats down, loop"


def test_bars_in_turn_without_count_in_are_parted() -> None:
    """Without a count-in there is still a counted bar between the two."""
    one = heard(arrange(BAR, Setting(count_in=False)), "one")
    assert in_turn(one, one).words == ("one", "Count-in", "one")


def test_repeated_once_is_the_same() -> None:
    """Once over is the passage itself."""
    one = heard(arrange(BAR, SETTING), "one")
    assert repeated(one, 1) == one


def decibels(samples: NDArray[np.int16]) -> float:
    """The mean level of samples, in dB under full scale."""
    return 20 * math.log10(float(np.sqrt(np.mean((samples / 32768.0) ** 2))))


def part(what: Heard, samples: NDArray[np.int16], bar: int) -> NDArray[np.int16]:
    """The samples of one bar."""
    start, end = (round(what.passage.time_of_beat(number, 1) * RATE) for number in (bar, bar + 1))
    return samples[start:end]


def test_both_sound_at_one_level() -> None:
    """The same bar twice in turn is equally loud both times, within half a decibel (hits vary a little)."""
    both = Listening().bars_in_turn(BAR, BAR, SETTING)
    samples = mix(both.passage, Bank())
    first, second = (decibels(part(both, samples, bar)) for bar in (2, 4))
    assert abs(first - second) < 0.5


def test_hats_down_are_heard_as_quieter() -> None:
    """A groove of hats alone is at least 6 dB softer with the hats down."""
    rest = parse_bar("(1) (2) (3) (4)")
    plain, soft = (
        Listening(count_in=False, hats_down=down).bar(rest, replace(SETTING, groove_bars=0), "")
        for down in (False, True)
    )
    loud, quiet = (decibels(mix(one.passage, Bank())) for one in (plain, soft))
    assert loud - quiet >= 6
