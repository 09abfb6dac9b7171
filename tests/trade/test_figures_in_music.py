"""Do the figures cover real music?  Counted in scores that come with music21, a reader that is not ours.

Over the whole of that collection (3,126 files, 544,230 beats with an onset in 4/4, 3/4 and 2/4, counted
with music21 10.5.1) the fifteen figures of the semiquaver grid cover 98.69 % of the beats; "1" has
295,943, "1 &" 141,188, "1 e & a" 24,586, "1 & a" 13,061, "1 e &" 4,157, "1 e a" 564; triplets 0.49 %.
A small part of it must show the same order, and in the long run a larger one.
"""

from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest

from shared.counting import parse_figure
from shared.figures import Figure, FigureError

music21 = pytest.importorskip("music21")

CHORALES = ("269", "347", "377", "153.1", "66.6", "144.3", "245.3", "244.3", "10.7", "101.7")
PIECES = ("mozart/k155/movement1", *(f"bach/bwv{number}" for number in CHORALES))


def scores(pieces: int, every: int) -> Iterator[Any]:
    """The first of the pieces, and one tune in so many of the collection of reels and jigs."""
    tunes = sorted(str(path) for path in music21.corpus.getPaths() if "ryansMammoth" in str(path))
    for name in (*PIECES[:pieces], *tunes[::every]):
        yield music21.corpus.parse(name)


def beats(score: Any) -> Iterator[tuple[Fraction, ...]]:
    """The onsets inside each crotchet beat of every part, where there are any."""
    for measure in score.recurse().getElementsByClass("Measure"):
        meter = measure.timeSignature or measure.getContextByClass("TimeSignature")
        if meter is not None and meter.ratioString in ("4/4", "3/4", "2/4"):
            yield from beats_of_measure(measure)


def beats_of_measure(measure: Any) -> Iterator[tuple[Fraction, ...]]:
    onsets: dict[int, set[Fraction]] = {}
    for note in measure.flatten().notes:
        if not note.duration.isGrace and (note.tie is None or note.tie.type == "start"):
            offset = Fraction(note.offset).limit_denominator(48)
            onsets.setdefault(int(offset), set()).add(offset % 1)
    yield from (tuple(sorted(places)) for places in onsets.values())


pytestmark = pytest.mark.timeout(400)  # the corpus is read anew in a new environment


@pytest.fixture(scope="module", params=[(3, 64), pytest.param((len(PIECES), 16), marks=pytest.mark.long)], ids=str)
def found(request: pytest.FixtureRequest) -> Counter[Figure | None]:
    """How often each figure occurs; None for beats that are no figure of ours."""
    counted: Counter[Figure | None] = Counter()
    for score in scores(*request.param):
        for onsets in beats(score):
            try:
                counted[Figure(onsets)] += 1
            except FigureError:
                counted[None] += 1
    return counted


def share(found: Counter[Figure | None], grid: str) -> float:
    return sum(n for figure, n in found.items() if figure and figure.grid.name == grid) / found.total()


def test_the_semiquaver_grid_covers_most_music(found: Counter[Figure | None]) -> None:
    """At least 95 % of the beats are figures of the semiquaver grid, and at most 1 % are no figure at all."""
    assert found.total() > 2000
    assert share(found, "semiquaver") >= 0.95
    assert found[None] / found.total() <= 0.01


def test_beats_and_pairs_lead(found: Counter[Figure | None]) -> None:
    """The stroke on the beat is the most usual figure, the pair of quavers the next."""
    assert [str(figure) for figure, _ in found.most_common(2)] == ["1", "1 &"]


def test_three_strokes_are_rarer_than_four(found: Counter[Figure | None]) -> None:
    """Four semiquavers, then "1 & a", then its mirror "1 e &", then "1 e a"."""
    counts = [found[parse_figure(count)] for count in ("1 e & a", "1 & a", "1 e &", "1 e a")]
    assert counts == sorted(counts, reverse=True)
    assert len(set(counts)) == 4


def test_triplets_are_rare(found: Counter[Figure | None]) -> None:
    """Triplets fill at most one beat in twenty."""
    assert share(found, "triplet") <= 0.05
