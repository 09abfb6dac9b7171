"""Variations of a fill by one step, each with a name that says what was done; only those that hands can play.

Our own reckoning: the first on offer differ most from the fills that are kept, and are not much harder.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice, zip_longest

from shared.figures import Figure
from shared.fills import WAYS, Fill, FillBeat, FillStroke
from shared.instruments import INSTRUMENTS
from shared.likeness import bars_apart
from shared.orchestration import DOWN_THE_KIT
from shared.playability import cautions, difficulty

EXCHANGED, TURNED, DISPLACED, MOVED, LEFT_OUT = "exchanged", "turned round", "displaced", "moved", "left out"
STEPS = (EXCHANGED, TURNED, DISPLACED, MOVED, LEFT_OUT)
"""The steps: a figure exchanged, beats turned round, the fill displaced, drums changed, a stroke left out."""

DRUM_WEIGHT = 1.0
"""The distance that is added where every stroke lies on another drum; a part of it where only some do."""

ENOUGH = 0.5
"""A variation so far from every kept fill counts as new; a greater distance makes it no newer."""

NEAREST = 3
"""How many kept fills, the nearest ones, novelty is reckoned against."""

MOST = 12
"""The most variations that are offered."""


@dataclass(frozen=True)
class Variation:
    """A fill by one step from another.

    ``says`` names the step; ``novelty`` is the distance to the nearest fill that is kept; ``difficulty`` runs from 1
    to 10.
    """

    fill: Fill
    step: str
    says: str
    novelty: float
    difficulty: int


def fills_apart(first: Fill, second: Fill) -> float:
    """How different two fills are, 0 for the same figures on the same drums: figures beat by beat, and the drums."""
    apart = bars_apart(first.figures, second.figures)
    other = total = 0
    for one, beat in zip(first.beats, second.beats, strict=False):
        if one is None or beat is None:
            continue
        total += max(len(one.strokes), len(beat.strokes))
        if one is not beat and one != beat:
            there = dict(_placed(beat))
            other += sum(stroke.drums != match.drums for at, stroke in _placed(one) if (match := there.get(at)))
    return apart + (DRUM_WEIGHT * other / total if total else 0.0)


def _placed(beat: FillBeat) -> Iterator[tuple[float, FillStroke]]:
    # Equal places are equal floats, which Python compares and hashes far quicker than fractions.
    return zip(beat.figure.floats, beat.strokes, strict=True)


def variations(
    fill: Fill, allowed: Iterable[Figure], tempo: float, kept: Sequence[Fill] = (), lead: str = "R", most: int = MOST
) -> tuple[Variation, ...]:
    """The fills that one step makes of a fill, of ``allowed`` figures only, playable at a tempo; each kind in turn.

    ``kept`` are fills that the player has already: none of them is offered.
    """
    # Of the fill's kind of beat: a player's level may be of quavers in threes, and the fill of quavers in twos.
    figures = tuple(one for one in dict.fromkeys(allowed) if one.compound == fill.meter.compound)
    # Sticking is left out: a fill that only changes hands is no new one to the ear.
    seen = {(one.meter, one.beats) for one in (fill, *kept)}
    # One step leads only so far: the kept fills nearest to this one are the nearest to what it becomes, too.
    alike = [one for one in kept if one.meter == fill.meter]
    near = [fill, *sorted(alike, key=lambda one: bars_apart(fill.figures, one.figures))[:NEAREST]]
    found: dict[str, list[tuple[float, float, str, Fill]]] = {step: [] for step in STEPS}
    for step, says, varied in _all(fill, figures):
        if (varied.meter, varied.beats) not in seen:
            seen.add((varied.meter, varied.beats))
            apart = [fills_apart(varied, one) for one in near]
            found[step].append((min(apart), apart[0], says, varied))
    for some in found.values():
        # What differs enough from all that is kept comes first; of those, what differs least from the present fill.
        some.sort(key=lambda one: (-min(one[0], ENOUGH), one[1]))
    rows = zip_longest(*([(step, *one) for one in some] for step, some in found.items()))
    offered = (one for row in rows for one in row if one)
    # Lazily: hands are tried out only until enough is found, and most variations are never offered.
    playable = (
        Variation(varied, step, says, novelty, difficulty(varied, tempo, lead))
        for step, novelty, _, says, varied in offered
        if not cautions(varied, tempo, lead)
    )
    return tuple(islice(playable, most))


def _all(fill: Fill, figures: tuple[Figure, ...]) -> Iterator[tuple[str, str, Fill]]:
    # What two steps lead to has the name of the plainer one, which comes first.
    yield from _left_out(fill, figures)
    yield from _turned(fill, figures)
    yield from _displaced(fill, figures)
    yield from _moved(fill)
    yield from _exchanged(fill, figures)


def _name(fill: Fill, place: int) -> str:
    bar, beat = divmod(place, fill.meter.beats)
    return f"bar {bar + 1}, beat {beat + 1}" if fill.length > 1 else f"beat {beat + 1}"


def _exchanged(fill: Fill, figures: tuple[Figure, ...]) -> Iterator[tuple[str, str, Fill]]:
    for place in fill.played:
        for figure in figures:
            if figure != fill.figures[place] and not figure.is_rest:
                says = f"{figure} on {_name(fill, place)}"
                yield EXCHANGED, says, fill.with_figure(place, figure)


def _turned(fill: Fill, figures: tuple[Figure, ...]) -> Iterator[tuple[str, str, Fill]]:
    beats = [fill.beats[place] for place in fill.played]
    if all(beat is None or beat.figure in figures for beat in beats):
        yield TURNED, "beats turned round", fill.with_beats(dict(zip(fill.played, reversed(beats), strict=True)))
    for place in fill.played:
        beat = fill.beats[place]
        assert beat is not None
        turned = _beat_turned(beat)
        if turned.figure in figures:
            yield TURNED, f"{_name(fill, place)} turned round", fill.with_beats({place: turned})


def _beat_turned(beat: FillBeat) -> FillBeat:
    """The retrograde of a beat: from the last place of its grid to the first."""
    # By places, not by time: of n places the first becomes the last, which lies a step before the beat's end.
    step = beat.figure.grid.places[1]
    onsets = tuple(sorted(1 - step - at for at in beat.figure.onsets))
    return FillBeat(Figure(onsets, beat.figure.compound), beat.strokes[::-1])


def _displaced(fill: Fill, figures: tuple[Figure, ...]) -> Iterator[tuple[str, str, Fill]]:
    """The beats one later, or earlier, the one that goes over the end at the other end."""
    beats = [fill.beats[place] for place in fill.played]
    if len(beats) < 2 or any(beat and beat.figure not in figures for beat in beats):
        return
    for by, words in ((1, "a beat later"), (-1, "a beat earlier")):
        moved = beats[-by:] + beats[:-by]
        yield DISPLACED, words, fill.with_beats(dict(zip(fill.played, moved, strict=True)))


def _moved(fill: Fill) -> Iterator[tuple[str, str, Fill]]:
    for way in WAYS:
        yield MOVED, way, fill.round_the_kit(way)
    for place in fill.played:
        for drum in DOWN_THE_KIT:
            says = f"{_name(fill, place)} on the {INSTRUMENTS[drum].title}"
            yield MOVED, says, fill.with_beats({place: fill.on_drum(place, drum)})


def _left_out(fill: Fill, figures: tuple[Figure, ...]) -> Iterator[tuple[str, str, Fill]]:
    for place in fill.played:
        beat = fill.beats[place]
        assert beat is not None
        words = dict(beat.figure.counted_places(place % fill.meter.beats + 1))
        for number, at in enumerate(beat.figure.onsets):
            onsets = beat.figure.onsets[:number] + beat.figure.onsets[number + 1 :]
            figure = Figure(onsets, beat.figure.compound)
            if onsets and figure in figures:
                strokes = beat.strokes[:number] + beat.strokes[number + 1 :]
                says = f"{_name(fill, place)} without its {words[at]}"
                yield LEFT_OUT, says, fill.with_beats({place: FillBeat(figure, strokes)})
