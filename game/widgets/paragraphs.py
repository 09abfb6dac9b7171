"""Sentences one below the other, in one size that lets all of them fit, with air between them."""

from collections.abc import Sequence

from pygame import Rect

from game.widgets import lettering
from game.widgets.base import Widget
from game.widgets.classroom import BigLabel
from game.widgets.look import Look

LEAST = 0.62
"""How far the type may shrink, as a part of its size."""


def paragraphs(look: Look, box: Rect, name: str, texts: Sequence[str]) -> list[Widget]:
    """A label for each sentence, named by ``name`` and its number."""
    usual = look.type_size("body")
    for size in range(usual, round(usual * LEAST) - 1, -1):
        gap = size // 2
        heights = [lettering.fit(text, (box.w, 100_000), size).height for text in texts]
        if sum(heights) + gap * (len(texts) - 1) <= box.h:
            break
    found: list[Widget] = []
    top = box.y
    for k, (text, height) in enumerate(zip(texts, heights, strict=True)):
        found.append(BigLabel(f"{name} {k}", Rect(box.x, top, box.w, height), text, size, bold=False))
        top += height + gap
    return found
