"""The benchmark as one picture: speed-ups over a uniform choice, and how true the forecasts came."""

from collections.abc import Iterator, Sequence

import numpy as np

from tests.bench.learning.candidates import Candidate, calibration
from tests.bench.learning.suite import KNOWN_SHARES, Results
from tests.bench.learning.table import bars, speed_up

WIDTH, ROW = 960, 22
LEFT, SCALE = 290, 70
PLOT, PLOT_LEFT, PLOT_TOP = 300, 620, 60
INK, PALE, ACCENT = "#222222", "#9a9a9a", "#0b5fa5"


def svg(results: Results, halves: dict[str, Sequence[str]], people: dict[str, list[Candidate]]) -> str:
    """The picture as the text of an SVG file: with a second try, of the halves ``both`` and ``unseen``."""
    shown = {half: names for half, names in halves.items() if half in ("both", "unseen")}
    candidates = [one for half, group in people.items() if half == "unseen" or "unseen" not in people for one in group]
    rows = list(_speed_ups(results, shown))
    parts = [*rows, *_reliability(candidates)]
    height = max(440, 60 + ROW * (len(shown) * 2 * 6))
    head = f'<svg xmlns="http://www.w3.org/2000/svg" width="{WIDTH}" height="{height}" font-family="sans-serif"'
    return "\n".join([f'{head} font-size="13" fill="{INK}">', _box(0, 0, WIDTH, height, "white"), *parts, "</svg>\n"])


def _speed_ups(results: Results, halves: dict[str, Sequence[str]]) -> Iterator[str]:
    """A bar for each chooser, a group for each half and kind of player, with the 95 % interval as a line."""
    top = 30
    titles = {"both": "Learners developed on", "unseen": "Learners never seen before"}
    choosers = list(dict.fromkeys(chooser for _, _, chooser, _ in results))
    for half, names in halves.items():
        for known in KNOWN_SHARES:
            yield _text(10, top, f"{titles[half]}, who know {known:.0%}: speed-up over a uniform choice", bold=True)
            for chooser in choosers:
                top += ROW
                pairs = [(bars(results[n, known, "uniform", 2]), bars(results[n, known, chooser, 2])) for n in names]
                value, low, high = speed_up([slow for slow, _ in pairs], [fast for _, fast in pairs])
                yield _text(10, top + 4, chooser)
                yield _box(LEFT - 160, top - 8, value * SCALE, 14, ACCENT if chooser == "coach" else PALE)
                yield _line(LEFT - 160 + low * SCALE, top - 1, LEFT - 160 + high * SCALE, top - 1)
                yield _text(LEFT - 160 + max(value, high) * SCALE + 6, top + 4, f"{value:.2f}")
            top += 2 * ROW


def _reliability(people: list[Candidate]) -> Iterator[str]:
    """A dot for each tenth of the forecasts: what was said against what came."""
    said = np.array([one.forecast for one in people])
    passed = np.array([one.passed for one in people], dtype=float)
    yield _text(PLOT_LEFT - 30, 30, "Exam forecasts: share passed against forecast", bold=True)
    yield _box(PLOT_LEFT, PLOT_TOP, PLOT, PLOT, "none", PALE)
    yield _line(PLOT_LEFT, PLOT_TOP + PLOT, PLOT_LEFT + PLOT, PLOT_TOP)
    for forecast, share, number in calibration(said, passed):
        x, y = PLOT_LEFT + forecast * PLOT, PLOT_TOP + (1 - share) * PLOT
        yield f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{3 + 0.25 * number**0.5:.1f}" fill="{ACCENT}"/>'
    for mark in (0.0, 0.5, 1.0):
        yield _text(PLOT_LEFT + mark * PLOT - 8, PLOT_TOP + PLOT + 18, f"{mark:g}")
        yield _text(PLOT_LEFT - 28, PLOT_TOP + (1 - mark) * PLOT + 4, f"{mark:g}")
    yield _text(PLOT_LEFT, PLOT_TOP + PLOT + 40, f"{len(people)} candidates; larger dots, more of them")


def _text(x: float, y: float, words: str, bold: bool = False) -> str:
    weight = ' font-weight="bold"' if bold else ""
    return f'<text x="{x:.1f}" y="{y:.1f}"{weight}>{words}</text>'


def _box(x: float, y: float, width: float, height: float, fill: str, stroke: str = "none") -> str:
    return f'<rect x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}" fill="{fill}" stroke="{stroke}"/>'


def _line(x1: float, y1: float, x2: float, y2: float) -> str:
    return f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" stroke="{INK}" stroke-width="1.5"/>'
