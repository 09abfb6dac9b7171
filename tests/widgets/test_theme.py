"""The colours keep their contrast."""

import pytest

from game.widgets.theme import THEMES, Theme, contrast

TEXT = (
    ("ink", "paper"), ("quiet", "paper"), ("accent", "paper"), ("warn", "paper"), ("ink", "panel"),
    ("quiet", "panel"), ("on_accent", "accent"), ("ink", "wash"), ("quiet", "wash"),
    ("ink", "warn_wash"),
)  # fmt: skip
"""Every ink that is written with, on whatever it is written on."""

GRAPHICS = (("ink", "panel"), ("accent", "wash"), ("warn", "warn_wash"), ("accent", "panel"), ("quiet", "wash"))
"""Notation, focus and signs."""


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
@pytest.mark.parametrize("ground", ["paper", "panel"])
def test_edges_of_tiles_keep_three_to_one(theme: Theme, ground: str) -> None:
    """Whoever sees weakly sees where a tile ends: its edge keeps 3 : 1 (WCAG 2.2, 1.4.11)."""
    assert contrast(theme.rule, getattr(theme, ground)) >= 3


@pytest.mark.parametrize(
    ("one", "other", "expected"),
    [
        ("#000000", "#FFFFFF", 21.0),
        ("#777777", "#FFFFFF", 4.48),
        ("#767676", "#FFFFFF", 4.54),
        ("#FF0000", "#FFFFFF", 4.0),
    ],
)
def test_contrast_follows_wcag(one: str, other: str, expected: float) -> None:
    """Known contrasts by the formula of WCAG 2.2: 21 : 1 by definition; #767676 is the palest grey above 4.5."""
    assert contrast(one, other) == pytest.approx(expected, abs=0.005)
    assert contrast(other, one) == contrast(one, other)


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
@pytest.mark.parametrize(("ink", "ground"), TEXT)
def test_text_keeps_seven_to_one(theme: Theme, ink: str, ground: str) -> None:
    """Text keeps 7 : 1 (WCAG 2.2, 1.4.6)."""
    assert contrast(getattr(theme, ink), getattr(theme, ground)) >= 7


@pytest.mark.parametrize("theme", THEMES.values(), ids=lambda theme: theme.name)
@pytest.mark.parametrize(("ink", "ground"), GRAPHICS)
def test_notation_and_focus_keep_four_and_a_half(theme: Theme, ink: str, ground: str) -> None:
    """Notation, focus and signs keep 4.5 : 1, more than the 3 : 1 of WCAG 2.2, 1.4.11."""
    assert contrast(getattr(theme, ink), getattr(theme, ground)) >= 4.5
