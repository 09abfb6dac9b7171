"""The colours of the window: three themes, and the contrast that they keep.

Text keeps at least 7 : 1 to whatever lies behind it, notation and focus at least 4.5 : 1, the edges of what can be
pressed at least 3 : 1 (WCAG 2.2, success criteria 1.4.6 and 1.4.11).  Right and wrong are told by blue and orange,
which stay apart for every kind of colour vision, and always by a shape and a word as well.
"""

from dataclasses import dataclass


@dataclass(frozen=True)
class Theme:
    """Colours as ``#rrggbb``.

    ``paper`` lies behind everything; ``wash`` marks what is chosen, ``warn_wash`` what was wrong.
    ``ink`` is for notes and text, ``quiet`` for text of second rank, ``rule`` for hairlines and the edges of tiles.
    ``accent`` and ``warn`` are strong enough to be text on paper and on their washes; ``on_accent``
    is the ink for text upon the accent.
    """

    name: str
    paper: str
    panel: str
    ink: str
    quiet: str
    rule: str
    accent: str
    on_accent: str
    wash: str
    warn: str
    warn_wash: str
    type_factor: float = 1.0


# In a lit class room a projector loses its middle tones: there paper, ink and accent lie as far apart as they can.
_COLOURS = {
    "paper": ("#FDFCF8", "#101418", "#FFFFFF"),
    "panel": ("#F3F1EA", "#1A2026", "#FFFFFF"),
    "ink": ("#14181D", "#EEF1F4", "#000000"),
    "quiet": ("#414B56", "#B8C2CF", "#2B333B"),
    "rule": ("#8C897F", "#6A7683", "#8A8A8A"),
    "accent": ("#004B7E", "#6FC1F0", "#00477A"),
    "on_accent": ("#FFFFFF", "#000000", "#FFFFFF"),
    "wash": ("#E1EEF7", "#152C3A", "#DCEBF6"),
    "warn": ("#7A3900", "#EDAA2E", "#753700"),
    "warn_wash": ("#FBEBDD", "#38280C", "#FBE6D2"),
}
"""Each colour in the light theme, in the dark one and on a projector."""


def _theme(name: str, column: int, type_factor: float = 1.0) -> Theme:
    return Theme(name=name, type_factor=type_factor, **{role: shades[column] for role, shades in _COLOURS.items()})


LIGHT, DARK, PROJECTOR = _theme("light", 0), _theme("dark", 1), _theme("projector", 2, type_factor=1.2)

THEMES = {theme.name: theme for theme in (LIGHT, DARK, PROJECTOR)}
"""The themes a player can choose, by name."""


def luminance(colour: str) -> float:
    """The relative luminance of ``#rrggbb``, from 0 to 1 (WCAG 2.2, definition of relative luminance)."""
    channels = [int(colour[k : k + 2], 16) / 255 for k in (1, 3, 5)]
    # 0.04045 as in IEC 61966-2-1; WCAG 2.0 had 0.03928, which for 8-bit channels comes to the same (from memory).
    linear = [c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in channels]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """The contrast of two colours, from 1 to 21 (WCAG 2.2, definition of contrast ratio)."""
    # The order of the two makes no difference: the lighter one is always above the line.
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)
