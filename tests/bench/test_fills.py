"""How quickly variations of a fill are found, and a chart laid out."""

import time
from statistics import median

import pytest

from shared.counting import parse_bar
from shared.fills import Fill, fill_of
from shared.forms import FORMS, drawn
from shared.levels import find_level
from shared.likeness import distance
from shared.notation.chart_page import lay_out_chart
from shared.orchestration import Setting
from shared.variations import variations
from tests.bench.page import hold

pytestmark = pytest.mark.usefixtures("measuring")

LEVEL = find_level("stage-5")
BAR = parse_bar("1 e a 2 & 3 e & a 4 & a")
ALLOWED = (*LEVEL.figures, *BAR.figures)


def kept(many: int) -> list[Fill]:
    """So many different fills of the level's figures."""
    charts = [drawn(FORMS["eight bars"], LEVEL.meter, LEVEL.figures, 70, seed) for seed in range(many // 2)]
    return [fill for chart in charts for fill in chart.fills if fill]


@pytest.mark.parametrize("bars", [1, 2])
@pytest.mark.parametrize("cold", [True, False])
def test_variations_come_at_once(bars: int, cold: bool) -> None:
    """Beside forty kept fills, variations of one bar or two take less than 20 ms, the first time too."""
    fill, others, taken = fill_of([BAR] * bars, way="down the kit"), kept(40), []
    for _ in range(15):
        if cold:
            distance.cache_clear()
        began = time.process_time()
        found = variations(fill, ALLOWED, 80, others)
        taken.append((time.process_time() - began) * 1000)
        assert found
    hold(f"variations of {bars} bar{'s' * (bars > 1)}, {'cold' if cold else 'warm'}", median(taken), 20, "ms")


def test_a_chart_is_laid_out_at_once() -> None:
    """Sixteen bars, eight of them written, in less than 15 ms: a tenth of what a page takes to be drawn anew."""
    chart, taken = drawn(FORMS["sixteen bars"], LEVEL.meter, LEVEL.figures, 70, 3), []
    for _ in range(15):
        began = time.process_time()
        lay_out_chart(chart, Setting(), width=200)
        taken.append((time.process_time() - began) * 1000)
    hold("layout of a chart", median(taken), 15, "ms")
