"""Sentences one below the other, each as high as it needs, with air between them."""

from collections.abc import Sequence

from pygame import Rect

from game.widgets.base import Label, Widget
from game.widgets.look import Look


def paragraphs(look: Look, box: Rect, name: str, texts: Sequence[str], role: str = "body") -> list[Widget]:
    """A label for each sentence, named by ``name`` and its number; where the box is short, the type shrinks."""
    gap = look.u(10)
    heights = [look.height(text, box.w, role) for text in texts]
    needed = sum(heights) + gap * (len(texts) - 1)
    squeeze = min(1.0, box.h / needed) if needed else 1.0
    found: list[Widget] = []
    top = float(box.y)
    for k, (text, height) in enumerate(zip(texts, heights, strict=True)):
        cell = Rect(box.x, round(top), box.w, int(height * squeeze))
        found.append(Label(f"{name} {k}", cell, text, role))
        top += (height + gap) * squeeze
    return found
