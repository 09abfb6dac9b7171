"""A recording that was read: which figures it may hold, and what there is to say of it, beat by beat."""

from collections.abc import Container, Iterator, Sequence

from game.wording import counted
from shared.bars import METERS, Bar, BarError, Meter
from shared.counting import Words, as_shown
from shared.figures import Figure
from shared.levels import Level, vocabulary
from shared.reading import SLOWER, Placed, ReadBeat, Reading

USUAL = ("semiquaver", "triplet", "compound quaver", "compound semiquaver")
"""The grids whose figures are looked for where no level says which: finer ones need a steadier hand to be told."""

WORTH_A_WORD = 0.01
"""Nobody notices less, in seconds (Friberg and Sundberg 1995, J. Acoust. Soc. Am. 98)."""


def readable(level: Level | None, written: Bar | None) -> tuple[Meter, tuple[Figure, ...]]:
    """The meter, and the figures that a beat may hold: the level's, else those of the usual grids; and the written.

    Raises ``BarError`` where level and written bar have another kind of beat.
    """
    meter = written.meter if written else METERS[level.meter.name] if level else METERS["4/4"]
    if level and written and level.meter.compound != meter.compound:
        raise BarError(f"the count is in {meter} and the level in {level.meter}; choose one of the same kind of beat")
    known = level.figures if level else tuple(figure for figure in vocabulary().figures if figure.grid.name in USUAL)
    known = tuple(figure for figure in known if figure.compound == meter.compound)
    # With those written, of whatever grid: a figure that is not looked for could never be told as written.
    return meter, tuple(dict.fromkeys((*known, *(written.figures if written else ()))))


def other_figures(figures: Sequence[Figure]) -> tuple[Figure, ...]:
    """The figures of the usual grids, of the same kind of beat, that are looked for where none of these fits."""
    usual = (figure for figure in vocabulary().figures if figure.grid.name in USUAL)
    return tuple(figure for figure in usual if figure.compound == figures[0].compound and figure not in figures)


def told(
    reading: Reading,
    exact: bool,
    meter: Meter,
    written: Bar | None,
    words: Words = (),
    others: Container[Figure] = (),
) -> Iterator[str]:
    """The reading, as lines for the reader; ``exact`` whether a machine gave the count-in.

    ``words`` are those shown for words of the count, ``others`` the figures that the level does not hold.
    """
    bars = list(reading.bars(meter.beats))
    yield f"{counted(len(bars), 'bar')} of {meter}, {reading.tempo:.4g} {meter.beat_name} beats a minute"
    for which, bar in enumerate(bars, 1):
        yield f"Bar {which}: {bar_words(bar, words)}"
        for place, beat in enumerate(bar, 1):
            yield from (f"  {line}" for line in remarks(place, beat, written, words, others))
    yield f"Strokes lie about {reading.spread * 1000:.0f} ms from their places."
    if exact and abs(reading.offset) >= WORTH_A_WORD:
        side = "after" if reading.offset > 0 else "before"
        yield f"Altogether they come {abs(reading.offset) * 1000:.0f} ms {side} the beat, with the sound's own delay."
    if reading.verdict == SLOWER:
        yield "That is too uneven to tell these figures apart at this tempo: play it slower."


def bar_words(beats: Sequence[ReadBeat], words: Words = ()) -> str:
    """A bar as it is counted, with a question mark for each beat that is not sure."""
    found = (beat.figure.count_on(place) if beat.figure else f"{place}?" for place, beat in enumerate(beats, 1))
    return as_shown(" ".join(found), words)


def remarks(
    place: int, beat: ReadBeat, written: Bar | None, words: Words = (), others: Container[Figure] = ()
) -> Iterator[str]:
    """Remarks on one beat: that it is not sure, another one than written, or none of the level's."""
    if beat.figure is None:
        ways = [(beat.likeliest, beat.certainty), (beat.rival, beat.rival_certainty)]
        shown = [f"{as_shown(figure.count_on(place), words)} ({chance:.0%})" for figure, chance in ways if figure]
        either = " or ".join(shown)
        yield f"beat {place} is not sure: {either}"
    elif written and beat.figure != written.figures[place - 1]:
        was, wanted = (as_shown(one.count_on(place), words) for one in (beat.figure, written.figures[place - 1]))
        yield f"beat {place} was {was}, written is {wanted}"
    if beat.figure is not None and beat.figure in others:
        yield f"beat {place} is {as_shown(beat.figure.count_on(place), words)}, which is none of the level's figures"
    if beat.figure is not None and beat.extra:
        yield f"beat {place} has {counted(beat.extra, 'stroke')} more than that"
    # A figure that is not looked for is read as the nearest one that is.
    if beat.figure is not None and beat.missed:
        yield f"beat {place} lacks {counted(len(beat.missed), 'stroke')} of that: missed, or another figure"


def place_in(reading: Reading, placed: Placed) -> float:
    """Where a stroke lies in a take, in beats from its beginning, counted from the nearest stroke that has a place.

    The tempo of a take may change: the offset and tempo of its end would not do for its beginning.
    """
    known = (
        (other.stroke.seconds - (other.late or 0.0), number + float(other.at))
        for number, beat in enumerate(reading.beats)
        for other in beat.strokes
        if other.at is not None
    )
    at = placed.stroke.seconds
    seconds, place = min(known, key=lambda one: abs(one[0] - at), default=(reading.offset, 0.0))
    return place + (at - seconds) * reading.tempo / 60
