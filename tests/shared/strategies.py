"""Every figure of every grid and each of its spellings; and what hypothesis draws from: bars and settings."""

from itertools import combinations

from hypothesis import strategies as st

from shared.bars import METERS, SINGLE_BEATS, Bar, Meter
from shared.figures import COMPOUND_GRIDS, SIMPLE_GRIDS, Figure, Grid
from shared.grooves import GROOVES
from shared.orchestration import ORCHESTRATIONS, Setting
from shared.spelling import spellings


def onset_sets(grid: Grid) -> list[tuple[Figure, Grid]]:
    """Every set of onsets that lies on a grid, the empty one too."""
    chosen = (onsets for count in range(grid.divisions + 1) for onsets in combinations(grid.places, count))
    return [(Figure(onsets, grid.compound), grid) for onsets in chosen]


SIMPLE_FIGURES = tuple(dict.fromkeys(figure for grid in SIMPLE_GRIDS for figure, _ in onset_sets(grid)))
COMPOUND_FIGURES = tuple(dict.fromkeys(figure for grid in COMPOUND_GRIDS for figure, _ in onset_sets(grid)))
ALL_FIGURES = (*SIMPLE_FIGURES, *COMPOUND_FIGURES)
ALL_SPELLINGS = tuple(spelling for figure in ALL_FIGURES for spelling in spellings(figure))
SEMIQUAVER_FIGURES = tuple(figure for figure, _ in onset_sets(SIMPLE_GRIDS[0]))


def bars_of(meter: Meter) -> st.SearchStrategy[Bar]:
    """Bars of one meter."""
    figures = COMPOUND_FIGURES if meter.compound else SIMPLE_FIGURES
    return st.tuples(*[st.sampled_from(figures)] * meter.beats).map(lambda chosen: Bar(meter, chosen))


BARS = st.sampled_from((*METERS.values(), *SINGLE_BEATS.values())).flatmap(bars_of)

SETTINGS = st.builds(
    Setting,
    orchestration=st.sampled_from(tuple(ORCHESTRATIONS)),
    tempo=st.one_of(st.integers(20, 400).map(float), st.floats(20, 400)),
    groove_bars=st.integers(0, 3),
    count_in=st.booleans(),
    seed=st.integers(0, 2**32),
    lead=st.sampled_from("RL"),
    swing=st.integers(50, 75),
    feel=st.floats(0, 1),
    click=st.booleans(),
    groove=st.sampled_from(tuple(GROOVES)),
    landing=st.booleans(),
    opening=st.booleans(),
)
