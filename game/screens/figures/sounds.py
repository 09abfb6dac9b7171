"""Ways to hear a figure outside a question: alone, through a bar, round the kit, in a groove, beside another."""

from collections.abc import Callable
from itertools import cycle, islice

from game.sessions.hearing.hearing import beat_alone
from shared.bars import METERS, Bar, Meter
from shared.figures import Figure
from shared.orchestration import Setting, arrange
from shared.passages import Passage

GROOVE = "kick-and-snare"
ROUND = "down-the-kit"


def meter_of(figure: Figure, meter: Meter) -> Meter:
    """The meter itself where the figure fits its beats, else one of four beats that it fits."""
    return meter if meter.compound == figure.compound else METERS["12/8" if figure.compound else "4/4"]


def bar_of(meter: Meter, *figures: Figure) -> Bar:
    """A bar in which the figures take turns."""
    return Bar(meter, tuple(islice(cycle(figures), meter.beats)))


def alone(bar: Bar, tempo: float, lead: str) -> Passage:
    """The first beat, between sticks."""
    return beat_alone(arrange(bar, Setting(tempo=tempo, lead=lead)), 1)


def full_bar(bar: Bar, tempo: float, lead: str) -> Passage:
    """The whole bar on the snare drum."""
    return arrange(bar, Setting(tempo=tempo, lead=lead))


def round_the_kit(bar: Bar, tempo: float, lead: str) -> Passage:
    """Each beat on the next drum."""
    return arrange(bar, Setting(ROUND, tempo=tempo, lead=lead))


def in_a_groove(bar: Bar, tempo: float, lead: str) -> Passage:
    """Shared by kick and snare, after one bar of groove."""
    return arrange(bar, Setting(GROOVE, tempo=tempo, groove_bars=1, lead=lead))


WAYS: dict[str, tuple[str, Callable[[Bar, float, str], Passage]]] = {
    "alone": ("Alone", alone),
    "bar": ("Full bar", full_bar),
    "round": ("Round the kit", round_the_kit),
    "groove": ("In a groove", in_a_groove),
}
"""The ways to hear a figure: title, and what makes the passage of a bar, a tempo and a leading hand."""
