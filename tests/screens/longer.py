"""Pages in a language of longer words: all text is set as if it were 40 % wider, and stays whole and readable.

UI text grows by up to 40 % where it is translated from English and is longer than 20 characters (W3C, Text size in
translation, after IBM's table; from memory).
"""

from collections.abc import Iterator
from contextlib import contextmanager
from itertools import chain

import pytest

from game.app import App
from game.widgets import lettering
from game.widgets.base import Widget
from game.widgets.classroom import BigLabel
from game.widgets.controls import Choice
from game.widgets.hints import Hint
from game.widgets.lettering import Fitted
from game.widgets.look import Look
from game.widgets.text_field import TextField
from tests.screens.window import faults_inside, misplaced

GROWTH = 0.4

LEAST = 0.8
"""How far text may shrink, as a part of the size that it is to have; to the nearest whole pixel."""

NO_WORDS = ("Wilhelmina", "Everything the Millrace", "All that is dense", "/", "character ", "found ")
"""What marks text that is no language's: names, paths and what somebody typed."""


@contextmanager
def longer_words() -> Iterator[dict[tuple[str, Fitted], int]]:
    """Set all text wider; gives the size that each text was to have."""
    asked: dict[tuple[str, Fitted], int] = {}
    width, fit = lettering.width, lettering.fit

    def wider(text: str, size: int, bold: bool = False) -> int:
        if len(text) < 2 or any(sign in text for sign in NO_WORDS):
            return width(text, size, bold)
        # Numbers are as long in any language.
        letters = sum(sign.isalpha() for sign in text) / len(text.replace(" ", "") or text)
        return round((1 + GROWTH * letters) * width(text, size, bold))

    def noted(text: str, box: tuple[int, int], size: int, bold: bool = False) -> Fitted:
        # Past the cache, which holds what the words of today need.
        found: Fitted = fit.__wrapped__(text, box, size, bold)
        asked[text, found] = size
        return found

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lettering, "width", wider)
        patch.setattr(lettering, "fit", noted)
        yield asked


def faults_in_longer_words(app: App) -> list[str]:
    """What of the top page is cut, too small or out of place in longer words; it is laid out again afterwards."""
    with longer_words() as asked:
        app.top.lay_out(app.look)
        # What somebody types is no language's, and its field moves along it.
        widgets = [widget for widget in app.top.widgets if not isinstance(widget, TextField)]
        small = chain.from_iterable(_too_small(app.look, widget, asked) for widget in widgets)
        found = [*small, *(fault for widget in widgets for fault in faults_inside(app, widget)), *misplaced(app)]
    app.top.lay_out(app.look)
    return [f"{fault}, in longer words" for fault in found]


def _too_small(look: Look, widget: Widget, asked: dict[tuple[str, Fitted], int]) -> Iterator[str]:
    for piece in widget.lettering(look):
        size = _meant(look, widget) or asked.get((piece.text, piece.fitted), 0)
        if piece.text and piece.fitted.size < round(LEAST * size):
            yield f"{widget.name}: {piece.text!r} shrinks to {piece.fitted.size / size:.0%}"


def _meant(look: Look, widget: Widget) -> int:
    """The type size that the words of widgets were to have that choose one size for several; 0 for others."""
    if isinstance(widget, Hint):
        return look.type_size("small")
    return look.type_size("body") if isinstance(widget, Choice | BigLabel) else 0
