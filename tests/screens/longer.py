"""Pages in a language of longer words: all text is set as if it were 40 % wider.

UI text grows by up to 40 % where it is translated from English and is longer than 20 characters (W3C, Text size in
translation, after IBM's table; from memory).
"""

from collections.abc import Iterator
from contextlib import contextmanager

import pytest

from game.app import App
from game.widgets import lettering
from game.widgets.controls import Button
from game.widgets.lettering import Fitted

GROWTH = 0.4

LEAST = 0.7
"""How far the word on a button may shrink, as a part of the size that it would have; other text may be smaller."""

NO_WORDS = ("Wilhelmina", "All that is dense", "/", "character ", "found ")
"""What marks text that is no language's: names, paths and what somebody typed."""


@contextmanager
def longer_words() -> Iterator[dict[tuple[str, Fitted], int]]:
    """Set all text wider; gives the size that each text was to have."""
    asked: dict[tuple[str, Fitted], int] = {}
    width, fit = lettering.width, lettering.fit

    def wider(text: str, size: int, bold: bool = False) -> int:
        if not text or any(sign in text for sign in NO_WORDS):
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


def faults_in_longer_words(app: App) -> Iterator[str]:
    """What of the top page is cut, or becomes too small, in longer words; the page is laid out again afterwards."""
    with longer_words() as asked:
        app.top.lay_out(app.look)
        for widget in app.top.widgets:
            for piece in widget.lettering(app.look):
                size = asked.get((piece.text, piece.fitted))
                if not piece.text or size is None:
                    continue
                if not piece.fits:
                    yield f"{widget.name}: {piece.text!r} is cut in longer words"
                elif isinstance(widget, Button) and not widget.about and piece.fitted.size < LEAST * size - 1:
                    yield f"{widget.name}: {piece.text!r} shrinks to {piece.fitted.size / size:.0%} in longer words"
    app.top.lay_out(app.look)
