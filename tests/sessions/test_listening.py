"""How a bar is heard: every choice leaves the figures' own strokes as they are."""

import math
from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray

from audio.kit import Bank
from audio.mixdown import mix
from audio.synthesis import RATE
from game.records import Settings
from game.sessions.hearing.hearing import (
    LOOPS,
    Hearing,
    as_answered,
    bars_in_turn,
    beats_in_turn,
    captioned,
    in_turn,
    repeated,
    whole_bar,
)
from game.sessions.hearing.listening import EXACT, FEELS, PACES, USUAL, Listening, as_heard
from shared.counting import parse_bar, parse_figure
from shared.grooves import GROOVES
from shared.levels import find_level
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Stroke

BAR = parse_bar("1 e a 2 & 3 e a 4 & a")
SETTING = Setting("kick-and-snare", tempo=80, groove_bars=1, seed=5)
SWINGING = find_level("stage-1")
"""A level of quavers, which no swing turns into one another."""


def bar_heard(listening: Listening, setting: Setting = SETTING, settings: Settings | None = None) -> Hearing:
    """The bar as a question of the level asks it, and as a player hears it."""
    return whole_bar(BAR, as_heard(setting, SWINGING, settings or Settings(), listening), "The bar")


def figure_strokes(what: Hearing, bar: int | None = None) -> list[Stroke]:
    """The figures' strokes of a bar, as if it were the first."""
    bar = what.passage.figure_bar if bar is None else bar
    return [replace(stroke, bar=0) for stroke in what.passage.strokes if stroke.figure and stroke.bar == bar]


def test_usual_listening_is_the_question_itself() -> None:
    """Without any choice the bar is played as the level asks."""
    assert bar_heard(Listening()).passage == arrange(BAR, SETTING)
    assert Listening().told() == ""


@pytest.mark.parametrize(
    "choice", [{"count_in": False}, {"click": True}, {"hats_down": True}, {"exact": True}], ids=str
)
def test_no_choice_touches_the_figures(choice: dict[str, bool]) -> None:
    """Drums, places and velocities of the figures stay, in every orchestration."""
    for name in ORCHESTRATIONS:
        setting = replace(SETTING, orchestration=name)
        plain, chosen = (bar_heard(one, setting) for one in (Listening(), Listening(**choice)))
        assert figure_strokes(plain) == figure_strokes(chosen), name


@pytest.mark.parametrize("pace", PACES)
def test_paces_are_played_not_stretched(pace: float) -> None:
    """The same strokes at a share of the tempo."""
    chosen = bar_heard(Listening(pace=pace)).passage
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
        softer = as_heard(replace(SETTING, orchestration=name), SWINGING, Settings(), Listening(hats_down=True))
        for before, after in zip(plain.strokes, arrange(BAR, softer).strokes, strict=True):
            ostinato = before.instrument == "closed-hat" and not before.figure
            assert after.velocity == pytest.approx(before.velocity * (0.4 if ostinato else 1))


def test_loop_repeats_the_bar_without_its_lead_in() -> None:
    """Count-in and groove come once, then the bar, time after time without a break."""
    looped = repeated(bar_heard(Listening()))
    assert looped.passage.bars == 2 + LOOPS == len(looped.words)
    assert figure_strokes(looped, 2) == figure_strokes(looped, 2 + LOOPS - 1)
    assert looped.words[:3] == ("Count-in", "Groove", "The bar")


def test_played_and_answered_in_turn() -> None:
    """One sound: the bar as played, a counted bar, the bar as answered, at one gain."""
    answered = as_answered(BAR, {0: parse_figure("1 & a")})
    both = bars_in_turn(BAR, answered, SETTING)
    assert both.words == ("Count-in", "Groove", "As played", "Count-in", "As you said")
    assert figure_strokes(both, 2) == figure_strokes(captioned(arrange(BAR, SETTING), ""))
    assert [stroke.at for stroke in figure_strokes(both, 4)[:3]] == list(parse_figure("1 & a").onsets)
    assert both.passage.gain == arrange(BAR, SETTING).gain


def test_beats_in_turn_keep_their_sticks() -> None:
    """A beat as played, as answered and as played, each between sticks of its own, on the same place of the bar."""
    answered = as_answered(BAR, {2: parse_figure("1")})
    both = beats_in_turn(BAR, answered, SETTING, 2)
    assert (both.words, both.beat) == (("As played", "As you said", "As played"), 2)
    sticks = [(stroke.bar, stroke.beat) for stroke in both.passage.strokes if stroke.instrument == "sticks"]
    assert sticks == [(bar, beat) for bar in range(3) for beat in (1, 2, 4)]
    assert [len(figure_strokes(both, bar)) for bar in range(3)] == [
        len(BAR.figures[2].onsets),
        1,
        len(BAR.figures[2].onsets),
    ]


def test_choices_are_told_in_words() -> None:
    """What differs from the usual is said, in the order of the panel."""
    everything = Listening(0.5, count_in=False, click=True, hats_down=True, loop=True)
    assert everything.told() == "No count-in, click, hats down, loop"


def test_bars_in_turn_without_count_in_are_parted() -> None:
    """Without a count-in there is still a counted bar between the two."""
    one = captioned(arrange(BAR, Setting(count_in=False)), "one")
    assert in_turn(one, one).words == ("one", "Count-in", "one")


def test_repeated_once_is_the_same() -> None:
    """Once over is the passage itself."""
    one = captioned(arrange(BAR, SETTING), "one")
    assert repeated(one, 1) == one


def decibels(samples: NDArray[np.int16]) -> float:
    """The mean level of samples, in dB under full scale."""
    return 20 * math.log10(float(np.sqrt(np.mean((samples / 32768.0) ** 2))))


def part(what: Hearing, samples: NDArray[np.int16], bar: int) -> NDArray[np.int16]:
    """The samples of one bar."""
    start, end = (round(what.passage.time_of_beat(number, 1) * RATE) for number in (bar, bar + 1))
    return samples[start:end]


def test_both_sound_at_one_level() -> None:
    """The same bar twice in turn is equally loud both times, within half a decibel (hits vary a little)."""
    both = bars_in_turn(BAR, BAR, SETTING)
    samples = mix(both.passage, Bank())
    first, second = (decibels(part(both, samples, bar)) for bar in (2, 4))
    assert abs(first - second) < 0.5


def test_hats_down_are_heard_as_quieter() -> None:
    """A groove of hats alone is at least 6 dB softer with the hats down."""
    rest = parse_bar("(1) (2) (3) (4)")
    plain, soft = (
        captioned(arrange(rest, replace(SETTING, groove_bars=0, count_in=False, hats_down=down)), "")
        for down in (False, True)
    )
    loud, quiet = (decibels(mix(one.passage, Bank())) for one in (plain, soft))
    assert loud - quiet >= 6


LOOSE = Settings(hand="L", feel="loose", swing=62)


def test_the_players_hand_feel_and_swing_hold() -> None:
    """What a player has set is heard in every bar, whatever asked for it."""
    heard = as_heard(SETTING, SWINGING, LOOSE)
    assert (heard.lead, heard.feel, heard.swing) == ("L", FEELS["loose"], 62)
    assert replace(heard, lead="R", feel=0.0, swing=50, landing=False) == SETTING


def test_fills_land_and_grooves_vary() -> None:
    """In rounds; one bar has the same groove at each hearing, and a mock exam is straight and ends with its bar."""
    varied = Settings(groove="varied")
    settings = [replace(SETTING, seed=seed) for seed in range(20)]
    grooves = [as_heard(one, SWINGING, varied).groove for one in settings]
    assert set(grooves) == set(GROOVES)
    assert grooves == [as_heard(one, SWINGING, varied, USUAL.slower).groove for one in settings]
    assert as_heard(SETTING, SWINGING, Settings()).landing
    exam = [as_heard(one, SWINGING, varied, EXACT) for one in settings]
    assert {(one.groove, one.landing, one.opening) for one in exam} == {("straight", False, False)}


def test_swing_that_blurs_figures_is_left_out() -> None:
    """Where the swing would turn a figure of the level into another, it stays straight."""
    assert as_heard(SETTING, find_level("stage-8"), LOOSE).swing == 50


def test_exact_listening_keeps_the_hand_alone() -> None:
    """An exam sounds the same to all: no feel and no swing, but the player's leading hand."""
    assert as_heard(SETTING, SWINGING, LOOSE, EXACT) == replace(SETTING, lead="L")
