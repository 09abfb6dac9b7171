"""The heat map and the verdicts as red-green colour blind eyes see them."""

from itertools import pairwise
from math import atan2, cos, degrees, exp, hypot, radians, sin, sqrt

import numpy as np
import pytest

from game.widgets.heat_map import MIXED
from game.widgets.theme import THEMES

Lab = tuple[float, float, float]

SEEN_BY = {
    "usual": np.eye(3),
    "deuteranopia": np.array(
        [[0.367322, 0.860646, -0.227968], [0.280085, 0.672501, 0.047413], [-0.011820, 0.042940, 0.968881]]
    ),
    "protanopia": np.array(
        [[0.152286, 1.052583, -0.204868], [0.114503, 0.786281, 0.099216], [-0.003882, -0.048116, 1.051998]]
    ),
}
"""Linear RGB as seen: G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, "A physiologically-based model for
simulation of color vision deficiency", IEEE TVCG 15, 2009, severity 1."""

TO_XYZ = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
"""sRGB, IEC 61966-2-1."""

FAR_ENOUGH = 15.0


def seen(colour: str, by: str) -> Lab:
    """A colour as CIELAB (D65) as those eyes see it."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    x, y, z = TO_XYZ @ np.clip(SEEN_BY[by] @ linear, 0, 1) / TO_XYZ.sum(axis=1)
    fx, fy, fz = (float(np.cbrt(t)) if t > (6 / 29) ** 3 else float(t) * 841 / 108 + 4 / 29 for t in (x, y, z))
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def ciede2000(one: Lab, other: Lab) -> float:
    """The colour difference of CIE 142:2001, after Sharma, Wu & Dalal 2005, equations 2 to 22."""
    (l1, a1, b1), (l2, a2, b2) = one, other
    mean = (hypot(a1, b1) + hypot(a2, b2)) / 2
    stretch = 1 + 0.5 * (1 - sqrt(mean**7 / (mean**7 + 25**7)))
    c1, c2 = hypot(a1 * stretch, b1), hypot(a2 * stretch, b2)
    h1, h2 = (degrees(atan2(b, a * stretch)) % 360 if (a, b) != (0, 0) else 0.0 for a, b in ((a1, b1), (a2, b2)))
    turn = (h2 - h1 + 180) % 360 - 180 if c1 * c2 else 0.0
    hue = _mean_hue(h1, h2) if c1 * c2 else h1 + h2
    light, chroma = (l1 + l2) / 2, (c1 + c2) / 2
    t = 1 - 0.17 * cos(radians(hue - 30)) + 0.24 * cos(radians(2 * hue))
    t += 0.32 * cos(radians(3 * hue + 6)) - 0.20 * cos(radians(4 * hue - 63))
    dl = (l2 - l1) / (1 + 0.015 * (light - 50) ** 2 / sqrt(20 + (light - 50) ** 2))
    dc = (c2 - c1) / (1 + 0.045 * chroma)
    dh = 2 * sqrt(c1 * c2) * sin(radians(turn / 2)) / (1 + 0.015 * chroma * t)
    rotation = sin(radians(60 * exp(-(((hue - 275) / 25) ** 2)))) * 2 * sqrt(chroma**7 / (chroma**7 + 25**7))
    return sqrt(dl**2 + dc**2 + dh**2 - rotation * dc * dh)


def _mean_hue(h1: float, h2: float) -> float:
    if abs(h1 - h2) <= 180:
        return (h1 + h2) / 2
    return (h1 + h2 + 360) / 2 if h1 + h2 < 360 else (h1 + h2 - 360) / 2


@pytest.mark.parametrize(
    ("one", "other", "distance"),
    [
        ((50.0, 2.6772, -79.7751), (50.0, 0.0, -82.7485), 2.0425),
        ((50.0, 2.5, 0.0), (50.0, 0.0, -2.5), 4.3065),
        ((50.0, 2.5, 0.0), (73.0, 25.0, -18.0), 27.1492),
        ((60.2574, -34.0099, 36.2677), (60.4626, -34.1751, 39.4387), 1.2644),
        ((2.0776, 0.0795, -1.135), (0.9033, -0.0636, -0.5514), 0.9082),
    ],
)
def test_the_formula_against_published_pairs(one: Lab, other: Lab, distance: float) -> None:
    """G. Sharma, W. Wu, E. N. Dalal, Color Research and Application 30, 2005, table 1."""
    assert ciede2000(one, other) == pytest.approx(distance, abs=5e-5)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize("by", SEEN_BY)
def test_steps_of_the_map_stay_apart(by: str, theme: str) -> None:
    """Neighbouring steps keep a distance of 15 for usual and for red-green colour blind eyes."""
    steps = MIXED[theme]
    assert min(ciede2000(seen(one, by), seen(other, by)) for one, other in pairwise(steps)) >= FAR_ENOUGH


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
@pytest.mark.parametrize("by", SEEN_BY)
def test_no_step_is_taken_for_what_was_right(by: str, theme: object) -> None:
    """What was mixed up has none of the colour of what was right, besides its other shape."""
    right = seen(theme.accent, by)  # type: ignore[attr-defined]
    assert min(ciede2000(seen(step, by), right) for step in MIXED[theme.name]) >= FAR_ENOUGH  # type: ignore[attr-defined]


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
@pytest.mark.parametrize("by", SEEN_BY)
def test_verdicts_stay_apart(by: str, theme: object) -> None:
    """Right and wrong keep a distance of 15 in every theme, besides their signs and words."""
    right, wrong = theme.accent, theme.warn  # type: ignore[attr-defined]
    assert ciede2000(seen(right, by), seen(wrong, by)) >= FAR_ENOUGH
