"""The ways to hear a question."""

from fractions import Fraction

from game.sessions.hearing.hearing import as_answered, beat_alone
from shared.counting import parse_bar, parse_figure
from shared.orchestration import Setting, arrange

BAR = parse_bar("1 e a 2 & 3 e a 4 & a")


def test_answered_bar_holds_what_was_said() -> None:
    """Wrong beats hold the figure that was said, skipped ones are silent, the others stay."""
    said = as_answered(BAR, {0: parse_figure("1 & a"), 2: None})
    assert said.count == "1 & a 2 & (3) 4 & a"


def test_beat_alone_keeps_its_strokes() -> None:
    """The beat's own strokes sound on the third of four beats, with their drums."""
    passage = arrange(BAR, Setting(orchestration="down-the-kit", groove_bars=1))
    alone = beat_alone(passage, 4)
    figure = [(stroke.beat, stroke.at, stroke.instrument) for stroke in alone.strokes if stroke.figure]
    assert figure == [(3, Fraction(0), "floor-tom"), (3, Fraction(1, 2), "floor-tom"), (3, Fraction(3, 4), "floor-tom")]
    assert alone.seconds == 4 * passage.beat_seconds


def test_beat_alone_has_pulse_around_it() -> None:
    """Sticks give the beats before and after, so that the beat can be placed."""
    alone = beat_alone(arrange(BAR, Setting()), 2)
    assert [stroke.beat for stroke in alone.strokes if stroke.instrument == "sticks"] == [1, 2, 4]


def test_compound_beat_alone_stays_compound() -> None:
    """A dotted-crotchet beat is placed among dotted-crotchet beats."""
    alone = beat_alone(arrange(parse_bar("1 la li 2 li"), Setting()), 1)
    assert alone.meter.compound
