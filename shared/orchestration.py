"""Arranges a bar of figures for the drum kit; the same figure is easier or harder to hear by its orchestration.

An orchestration is a small pure function from a bar to strokes; ``arrange`` adds the count-in, the
groove bars before it, swing and feel, and gives a ``Passage`` with exact times.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from fractions import Fraction
from random import Random

from shared.bars import Bar, Meter, meter_for
from shared.errors import UserError
from shared.feel import felt
from shared.figures import Figure
from shared.grooves import GROOVES, Groove
from shared.passages import SLOWEST, Passage, Stroke, check_tempo
from shared.sticking import OTHER, natural
from shared.swing import MOST_SWING, STRAIGHT, swing_shift, swung_pair

BESIDE_ACCENTS = 0.7
"""The share of its velocity that a stroke keeps where others of its figure are accented to bring out a difference."""

FIGURE, GHOSTED, ACCENTED, LANDING, KICK_UNDER, SNARE_UNDER = 0.8, 0.4, 1.0, 0.85, 0.7, 0.5
"""Velocities of the parts of an arrangement: the figures stand in front of what is played under them."""

RIDDEN = frozenset({"closed-hat", "open-hat", "ride"})
"""The cymbals of a groove's ostinato, which are turned down together."""

HATS_DOWN = 0.4
"""The share of its velocity that a hi-hat keeps when it is turned down."""

DOWN_THE_KIT = ("snare", "high-tom", "mid-tom", "floor-tom")
"""The usual way round the kit, a drum for each beat (common practice)."""

MOST_GROOVE_BARS = 3
"""The most bars of groove before a bar."""


class SettingError(UserError, ValueError):
    """A way of playing that does not exist."""


@dataclass(frozen=True)
class Setting:
    """How a bar is to be played.

    ``tempo`` in beats a minute (20 to 400); ``groove_bars`` of straight quavers before the bar (0 to
    3); ``swing`` the share of each pair of quavers, in per cent, that its first one takes (50
    straight, 75 at most); ``feel`` from 0 (exact) to 1 (as loose as a figure stays itself); ``lead``
    the leading hand; ``click`` a click on each beat of the bar; ``hats_down`` a quieter hi-hat around
    the figures; ``groove`` the name of the groove; ``landing`` a crash on the next 1 after a fill, ``opening`` one on
    the first 1 of the groove bars; ``contrast`` holds figures whose strokes are accented where the others of them have
    none, the rest of them softer; ``seed`` settles all that is random.
    """

    orchestration: str = "snare"
    tempo: float = 80.0
    groove_bars: int = 0
    count_in: bool = True
    seed: int = 0
    lead: str = "R"
    swing: float = STRAIGHT
    feel: float = 0.0
    click: bool = False
    hats_down: bool = False
    groove: str = "straight"
    landing: bool = False
    opening: bool = False
    contrast: tuple[Figure, ...] = ()

    def __post_init__(self) -> None:
        check_tempo(self.tempo)
        orchestration_named(self.orchestration)
        if self.groove_bars not in range(MOST_GROOVE_BARS + 1):
            raise SettingError(f"groove bars {self.groove_bars}: choose from 0 to {MOST_GROOVE_BARS}")
        if not STRAIGHT <= self.swing <= MOST_SWING:
            raise SettingError(f"swing {self.swing:g}: choose from {STRAIGHT} (straight) to {MOST_SWING} per cent")
        if not 0 <= self.feel <= 1:
            raise SettingError(f"feel {self.feel:g}: choose from 0 (exact) to 1")
        if self.groove not in GROOVES:
            raise SettingError(f"groove {self.groove!r}: choose from {', '.join(GROOVES)}")
        if self.lead not in OTHER:
            raise SettingError(f"leading hand {self.lead!r}: choose R or L")

    @property
    def played_groove(self) -> Groove:
        """The groove of that name."""
        return GROOVES[self.groove]

    def slower(self, share: float) -> "Setting":
        """The same at a share of the tempo, no slower than the slowest tempo."""
        return replace(self, tempo=max(float(SLOWEST), self.tempo * share))


Placing = Callable[[Bar, Setting, Random], Iterator[Stroke]]


@dataclass(frozen=True)
class Orchestration:
    """A way round the kit.

    ``asked_beats`` is how many of the last beats hold figures to be asked, or None for all of them.
    ``gain`` in decibels brings it to the common loudness: fixed, never by the bar, which would give
    answers away.
    """

    name: str
    about: str
    place: Placing
    asked_beats: int | None = None
    gain: float = 0.0

    @property
    def fill(self) -> bool:
        """Whether it is a fill out of a groove, which lands on the next 1."""
        return self.asked_beats is not None

    def asked(self, meter: Meter) -> tuple[int, ...]:
        """The places in the bar, from 0, that are asked."""
        first = 0 if self.asked_beats is None else max(0, meter.beats - self.asked_beats)
        return tuple(range(first, meter.beats))


def orchestration_named(name: str) -> Orchestration:
    """The orchestration of that name.  Raises ``SettingError`` with the names there are."""
    try:
        return ORCHESTRATIONS[name]
    except KeyError:
        raise SettingError(f"orchestration {name!r}: choose from {', '.join(ORCHESTRATIONS)}") from None


def groove_figure(compound: bool) -> Figure:
    """The figure of the straight groove: two quavers in a crotchet beat, three in a compound one."""
    parts = 3 if compound else 2
    return Figure(tuple(Fraction(k, parts) for k in range(parts)), compound)


def groove_bar(meter: Meter) -> Bar:
    """A bar of the straight groove's figure on every beat."""
    return Bar(meter, (groove_figure(meter.compound),) * meter.beats)


def arrange(bar: Bar, setting: Setting) -> Passage:
    """Put a bar on the kit: count-in, groove bars, then the figures.  A pure function of its arguments."""
    orchestration = orchestration_named(setting.orchestration)
    random = Random(setting.seed)
    groove = tuple(setting.played_groove.strokes(bar.meter, setting.lead))
    counted = [count_in(bar.meter)] if setting.count_in else []
    lead_in = [*counted, *[groove] * setting.groove_bars]
    strokes = [replace(stroke, bar=place) for place, strokes in enumerate(lead_in) for stroke in strokes]
    # Count-in and groove bars come first, so their number is the place of the bar of figures.
    figure_bar = len(lead_in)
    # The orchestration draws from ``random`` before the feel does: with or without feel, a seed gives the same drums.
    placed = (_contrasted(stroke, bar, setting.contrast) for stroke in orchestration.place(bar, setting, random))
    strokes += [replace(stroke, bar=figure_bar) for stroke in placed]
    if setting.click:
        strokes += [Stroke(figure_bar, beat, Fraction(0), "click", FIGURE) for beat in _beats(bar.meter)]
    if setting.landing and orchestration.fill:
        strokes += crash_on_one(figure_bar + 1, setting.lead)
    if setting.opening and setting.groove_bars:
        strokes = landed(strokes, int(setting.count_in), setting.lead)
    moved = in_time(strokes, bar, setting, random)
    return Passage(
        meter=bar.meter,
        tempo=setting.tempo,
        # The crash of a landing lies in the bar after, which is not counted: it only rings on.
        bars=figure_bar + 1,
        figure_bar=figure_bar,
        strokes=tuple(map(_softened, moved)) if setting.hats_down else moved,
        gain=orchestration.gain,
    )


def _beats(meter: Meter) -> range:
    return range(1, meter.beats + 1)


def count_in(meter: Meter) -> tuple[Stroke, ...]:
    """A bar of sticks, a stroke on each beat."""
    return tuple(Stroke(0, beat, Fraction(0), "sticks", ACCENTED if beat == 1 else FIGURE) for beat in _beats(meter))


def crash_on_one(bar: int, lead: str) -> list[Stroke]:
    """Crash and bass drum on the 1 of a bar (from 0)."""
    one = Stroke(bar, 1, Fraction(0), "kick", ACCENTED)
    # The bass drum goes with every crash, which by itself has no weight below it (common practice, no source).
    return [one, replace(one, instrument="crash", velocity=LANDING, hand=lead)]


# In place of the hi-hat, not beside it: the leading hand can't be on both.
def landed(strokes: list[Stroke], bar: int, lead: str) -> list[Stroke]:
    """The strokes with a crash on the 1 of a bar, in place of what the leading hand and the bass drum do there."""

    def there(stroke: Stroke) -> bool:
        first = (stroke.bar, stroke.beat, stroke.at) == (bar, 1, Fraction(0))
        return first and (stroke.hand == lead or stroke.instrument == "kick")

    return [*crash_on_one(bar, lead), *(stroke for stroke in strokes if not there(stroke))]


def _figures(bar: Bar, setting: Setting, first: int = 1) -> Iterator[Stroke]:
    """Every stroke of the figures on the snare from beat ``first`` on, where the leading hand begins."""
    played = bar.figures[first - 1 :]
    # Of these beats alone: a fill begins with the leading hand, whatever came before it in the bar.
    hands = natural(Bar(meter_for(len(played), bar.meter.compound), played), setting.lead)
    for beat, (figure, its_hands) in enumerate(zip(played, hands, strict=True), first):
        for onset, hand in zip(figure.onsets, its_hands, strict=True):
            yield Stroke(0, beat, onset, "snare", FIGURE, hand, figure=True)


def _snare(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
    return _figures(bar, setting)


def _down_the_kit(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
    for stroke in _figures(bar, setting):
        yield replace(stroke, instrument=DOWN_THE_KIT[stroke.beat - 1])


def _toms(bar: Bar, setting: Setting, random: Random) -> Iterator[Stroke]:
    for stroke in _figures(bar, setting):
        yield replace(stroke, instrument=random.choice(DOWN_THE_KIT[1:]))


def _hands(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
    for stroke in _figures(bar, setting):
        yield replace(stroke, instrument="floor-tom" if stroke.hand == setting.lead else "snare")


def _kick_and_snare(bar: Bar, setting: Setting, random: Random) -> Iterator[Stroke]:
    yield from setting.played_groove.cymbals(bar.meter, setting.lead, _beats(bar.meter))
    for stroke in _figures(bar, setting):
        # On the beats the drums keep their places of a groove; only what lies between is left to chance.
        if stroke.at == 0:
            drum = "kick" if stroke.beat % 2 else "snare"
        else:
            drum = random.choice(("kick", "snare"))
        hand = OTHER[setting.lead] if drum == "snare" else None
        yield replace(stroke, instrument=drum, hand=hand)


def _over_the_drums(cymbal: str) -> Placing:
    def place(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
        for stroke in GROOVES["straight"].drums(bar.meter, setting.lead, _beats(bar.meter), SNARE_UNDER):
            # The snare would cover the cymbal; the kick lies below it, and is itself lost under a ride if softer.
            yield replace(stroke, velocity=KICK_UNDER) if stroke.instrument == "kick" else stroke
        for stroke in _figures(bar, setting):
            yield replace(stroke, instrument=cymbal, hand=setting.lead, velocity=ACCENTED)

    return place


def _fill(length: int) -> Placing:
    def place(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
        first = max(1, bar.meter.beats - length + 1)
        yield from setting.played_groove.strokes(bar.meter, setting.lead, range(1, first))
        for stroke in _figures(bar, setting, first):
            yield replace(stroke, instrument="snare" if stroke.beat == first else "floor-tom")

    return place


def _accents(bar: Bar, setting: Setting, _: Random) -> Iterator[Stroke]:
    for stroke in _figures(bar, setting):
        # The first stroke and not the 1: a figure that begins off the beat has its accent there.
        if stroke.at == bar.figures[stroke.beat - 1].onsets[0]:
            yield replace(stroke, velocity=ACCENTED)
        else:
            yield replace(stroke, instrument="ghost", velocity=GHOSTED)


def in_time(strokes: Iterable[Stroke], bar: Bar, setting: Setting, random: Random) -> tuple[Stroke, ...]:
    """Strokes with the swing and feel of a setting: the written places stay, the strokes move by seconds."""
    beat, pair = 60.0 / setting.tempo, swung_pair(bar)
    swung = [replace(one, moved=float(swing_shift(one.at, pair, setting.swing)) * beat) for one in strokes]
    return tuple(felt(swung, bar.meter.beats, setting.tempo, setting.feel, setting.lead, random))


def _contrasted(stroke: Stroke, bar: Bar, contrast: tuple[Figure, ...]) -> Stroke:
    """The stroke louder where its figure differs from the others in contrast, softer where it does not."""
    figure = bar.figures[stroke.beat - 1]
    if not stroke.figure or figure not in contrast:
        return stroke
    differs = any(stroke.at not in other.onsets for other in contrast)
    # A ghost note would stay one at any velocity: where it is what differs, it must be a stroke like any other.
    if differs:
        instrument = "snare" if stroke.instrument == "ghost" else stroke.instrument
        return replace(stroke, instrument=instrument, velocity=ACCENTED)
    return replace(stroke, velocity=stroke.velocity * BESIDE_ACCENTS)


def _softened(stroke: Stroke) -> Stroke:
    """The stroke on a quieter hi-hat; every stroke of a figure stays as it is."""
    ostinato = stroke.instrument in RIDDEN and not stroke.figure
    return replace(stroke, velocity=stroke.velocity * HATS_DOWN) if ostinato else stroke


ORCHESTRATIONS = {
    row.name: row
    for row in (
        # The gains were measured over bars of every meter as ITU-R BS.1770-4 weighs loudness, and tests hold them to
        # it.
        Orchestration("snare", "every stroke on the snare drum", _snare, gain=-0.1),
        Orchestration("down-the-kit", "beat 1 snare, 2 high tom, 3 mid tom, 4 floor tom", _down_the_kit, gain=-0.5),
        Orchestration("toms", "each stroke on one of the three toms, at random", _toms, gain=-0.4),
        Orchestration(
            "hands", "leading hand on the floor tom, the other on the snare, by the sticking", _hands, gain=-0.7
        ),
        Orchestration(
            "accents", "the first stroke of each figure accented, the others as ghost notes", _accents, gain=0.6
        ),
        Orchestration(
            "kick-and-snare", "the figure shared by kick and snare under hi-hat quavers", _kick_and_snare, gain=-0.45
        ),
        Orchestration("hat", "the figure on the hi-hat over kick and snare", _over_the_drums("closed-hat"), gain=3.0),
        Orchestration("ride", "the figure on the ride cymbal over kick and snare", _over_the_drums("ride"), gain=1.6),
        Orchestration(
            "fill-1", "a fill on the last beat of a groove bar; only that beat is asked", _fill(1), 1, gain=0.9
        ),
        Orchestration(
            "fill-2", "a fill on the last two beats of a groove bar; only those are asked", _fill(2), 2, gain=0.1
        ),
    )
}
"""Every orchestration, by name."""
