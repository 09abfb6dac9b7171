"""Text that stays in its box: measured, wrapped, shrunk, and kept once drawn."""

import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from unicodedata import normalize

import pygame
from pygame import Surface

from game.engraving import PLAIN_FONT, TEXT_FONT
from game.engraving.shelf import shelved
from shared.errors import REINSTALL
from shared.files import FileError

SMALLEST = 0.62
"""How far text may shrink to fit its box before it is cut, as a part of its size."""

READABLE = 0.8
"""How far text shrinks, as a part of its size, before it is given more room where there is some."""

PARTS = re.compile(r"[^/\\-]*[/\\-]|[^/\\-]+")
"""The parts of a path or of a word with hyphens: names, each with the sign after it."""

GAPS = re.compile("(?<!=) (?!=)")
"""The gaps at which a line may end: a tempo such as "crotchet = 60" stays in one piece."""

LEADING = 1.25
"""The distance of two lines of text, in type sizes."""


@dataclass(frozen=True)
class Fitted:
    """Text made to fit a box: its lines, its type size in pixels and its extent in pixels.

    ``cut`` says that the box was too small even for the smallest type and words were left out.
    """

    lines: tuple[str, ...]
    size: int
    width: int
    height: int
    cut: bool = False


@lru_cache(maxsize=64)
def font(size: int, bold: bool = False) -> pygame.font.Font:
    """The text font (Atkinson Hyperlegible Next) at ``size`` pixels."""
    # Text is measured before there is a window too, as by the tests and by the demo's pictures.
    if not pygame.font.get_init():
        pygame.font.init()
    path = TEXT_FONT if bold else PLAIN_FONT
    try:
        opened = pygame.font.Font(path, size)
        opened.size("a")  # a damaged file is opened without a word, and only its use fails
        return opened
    except (pygame.error, OSError, ValueError) as error:
        raise FileError(f"{path}: this font came with Drumlin and can't be read; {REINSTALL}") from error


@lru_cache(maxsize=8192)
def width(text: str, size: int, bold: bool = False) -> int:
    """How wide a line of text is, in pixels."""
    return font(size, bold).size(text)[0]


def lacking_words(text: str) -> str:
    """A sentence about letters that the type does not have and that are drawn as boxes; empty where there are none."""
    lacking = 0 if text.isascii() else sum(ord(sign) not in _letters() for sign in normalize("NFC", text))
    letters = "1 letter is" if lacking == 1 else f"{lacking} letters are"
    return f"{letters} not in this type: a box stands there, and all of it is kept." if lacking else ""


@cache
def _letters() -> frozenset[int]:
    """The code points that the text font has a shape for: pygame itself does not tell them from a box."""
    from fontTools.ttLib import TTFont  # slow to load, and only for names beyond ASCII

    with TTFont(TEXT_FONT) as opened:
        return frozenset(opened.getBestCmap())


@shelved(pixels=4_000_000)
def drawn(text: str, size: int, colour: str, bold: bool = False) -> Surface:
    """One line of text on a transparent ground; drawn once, then kept."""
    return font(size, bold).render(text, True, colour)


@lru_cache(maxsize=4096)
def fit(text: str, box: tuple[int, int], size: int, bold: bool = False) -> Fitted:
    """Make text fit a box of (width, height) pixels: wrap it, shrink it, and only then cut it."""
    for candidate in sizes(size):
        fitted = _set(_wrapped(text, box[0], candidate, bold), candidate, bold)
        if fitted.width <= box[0] and fitted.height <= box[1]:
            return fitted
    # Not even the least size, which ``candidate`` now is, lets all of it fit.
    return _cut(text, box, candidate, bold)


def line_height(size: int) -> int:
    """The height one line of text needs, in pixels."""
    return round(size * LEADING)


def forget() -> None:
    """Drop every kept font and text, as must be done when pygame's fonts are shut down."""
    for kept in (font, width, fit):
        kept.cache_clear()
    drawn.shelf.clear()


def sizes(size: int) -> list[int]:
    """The type sizes that are tried for text of a size, in pixels, the largest first."""
    # Smaller than nine pixels the letters of this type run together, whatever their size was to be.
    least = max(9, round(size * SMALLEST))
    # In steps of 6 per cent, which the eye hardly sees: nine sizes to try instead of every pixel.
    return sorted({max(least, round(size * 0.94**k)) for k in range(9)}, reverse=True)


def _set(lines: list[str], size: int, bold: bool, cut: bool = False) -> Fitted:
    widest = max((width(line, size, bold) for line in lines), default=0)
    return Fitted(tuple(lines), size, widest, line_height(size) * len(lines), cut)


def _wrapped(text: str, room: int, size: int, bold: bool) -> list[str]:
    lines: list[str] = []
    for paragraph in text.split("\n"):
        line = ""
        for gap, word in _words(paragraph, room, size, bold):
            longer = f"{line}{gap}{word}" if line else word
            if line and width(longer, size, bold) > room:
                lines.append(line)
                longer = word
            line = longer
        lines.append(line)
    return lines


def _words(paragraph: str, room: int, size: int, bold: bool) -> Iterator[tuple[str, str]]:
    """The words, each with the gap before it; one too wide for a line is broken after a slash or a hyphen."""
    for word in GAPS.split(paragraph):
        if width(word, size, bold) <= room:
            yield " ", word
        else:
            # A path has no spaces to break at, and may be longer than any box.
            first, *others = PARTS.findall(word)
            yield " ", first
            yield from (("", part) for part in others)


def _cut(text: str, box: tuple[int, int], size: int, bold: bool) -> Fitted:
    """Text cut to as many lines as the box holds, each shortened to its width, with a sign of omission."""
    count = max(1, box[1] // line_height(size))
    wrapped = _wrapped(text, box[0], size, bold)
    lines = [_shortened(line, box[0], size, bold) for line in wrapped[:count]]
    if len(wrapped) > count:
        lines[-1] = _shortened(lines[-1] + " …", box[0], size, bold)
    return _set(lines, size, bold, cut=True)


def _shortened(line: str, room: int, size: int, bold: bool) -> str:
    while line and width(line, size, bold) > room:
        line = line.rstrip("…")[:-1].rstrip() + "…" if len(line) > 1 else ""
    return line
