"""The text field: one line that scrolls, or as many lines as the box holds."""

from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Act, Lettered, Widget, write
from game.widgets.editing import Edited, line_spans
from game.widgets.keycaps import key_name
from game.widgets.lettering import Fitted
from game.widgets.look import Look
from game.widgets.moves import Next

COMMAND = pygame.KMOD_CTRL | pygame.KMOD_META
BY_WORD = pygame.KMOD_CTRL | pygame.KMOD_ALT
"""Ctrl steps by words on most systems, Alt on a Mac, where Cmd is the key of commands."""


@dataclass(frozen=True)
class TextLine:
    """A visible line: its words, and where it starts and ends in the whole text, in characters."""

    start: int
    end: int
    text: str
    box: Rect


@dataclass
class TextField(Widget):
    """Text to be written, over several lines where the box is high.  Enter does ``done``.

    ``edited`` lives with the screen: ``change`` is told each new one.  ``empty`` is shown while nothing is
    written; a ``faulty`` field has the edge of a warning, and the screen says beside it what is wrong.
    """

    look: Look
    edited: Edited
    change: Callable[[Edited], None]
    done: Act
    empty: str = ""
    longest: int = 60
    faulty: bool = False
    focusable: bool = field(default=True, kw_only=True)
    repeats = True

    @property
    def takes_text(self) -> bool:
        return True

    @property
    def selected(self) -> str:
        return self.edited.selected

    def press(self) -> Next:
        return self.done()

    # What is seen

    @property
    def _shown(self) -> Edited:
        """The text as it is seen: what an input method composes stands where it will be written."""
        now = self.edited
        return now.typed(now.composing, len(now.text) + len(now.composing)) if now.composing else now

    def _lines(self) -> tuple[int, list[TextLine]]:
        """The type size in pixels, and the lines that are seen."""
        inside = self.rect.inflate(-self.look.u(28), -self.look.u(8))
        shown = self._shown
        size, spans = _spans(shown.text, (inside.w, inside.h), self.look.type_size("body"), shown.caret)
        step = lettering.line_height(size)
        top = inside.y + (inside.h - step * len(spans)) // 2
        return size, [
            TextLine(start, end, shown.text[start:end].rstrip("\n"), Rect(inside.x, top + k * step, inside.w, step))
            for k, (start, end) in enumerate(spans)
        ]

    def lettering(self, look: Look) -> list[Lettered]:
        if not self._shown.text:
            box = self.rect.inflate(-look.u(28), -look.u(8))
            return [Lettered(self.empty, box, lettering.fit(self.empty, box.size, look.type_size("body")))]
        size, lines = self._lines()
        found = []
        for line in lines:
            words = line.text.rstrip()
            wide = lettering.width(words, size) if words else 0
            found.append(Lettered(words, line.box, Fitted((words,), size, wide, line.box.h)))
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        edge = theme.warn if self.faulty else theme.accent if self.focused else theme.quiet
        look.box(canvas, self.rect, theme.paper, edge, 2.5 if self.faulty else 1.5)
        for lettered in self.lettering(look):
            write(canvas, lettered, theme.ink if self._shown.text else theme.quiet)
        if self.focused:
            self._paint_caret(canvas, look)

    def _paint_caret(self, canvas: Surface, look: Look) -> None:
        size, lines = self._lines()
        shown = self._shown
        start, end = shown.span
        composed = len(self.edited.composing)
        for line in lines:
            if composed:
                self._underline(canvas, line, size, shown.caret - composed, shown.caret)
            elif start < line.end and end > line.start:
                self._mark_selection(canvas, line, size, start, end)
        line = lines[_line_of(shown.caret, [line.start for line in lines])]
        wide = look.u(2)
        # Spaces at the end of a line hang over its edge, and the caret must not go with them.
        x = min(self._x(line, size, shown.caret), line.box.right + wide)
        canvas.fill(look.theme.accent, Rect(x, line.box.y, wide, line.box.h))

    def _mark_selection(self, canvas: Surface, line: TextLine, size: int, start: int, end: int) -> None:
        first, last = max(start, line.start), min(end, line.end)
        left, right = self._x(line, size, first), min(self._x(line, size, last), line.box.right)
        words = self._shown.text[first:last].rstrip()
        box = Rect(left, line.box.y, max(1, right - left), line.box.h)
        canvas.fill(self.look.theme.accent, box)
        if words:
            part = Lettered(words, box, Fitted((words,), size, box.w, box.h))
            write(canvas, part, self.look.theme.on_accent)

    def _underline(self, canvas: Surface, line: TextLine, size: int, start: int, end: int) -> None:
        """The usual sign of what an input method still composes."""
        first, last = max(start, line.start), min(end, line.end)
        if first < last:
            left, right = self._x(line, size, first), self._x(line, size, last)
            thick = self.look.u(2)
            canvas.fill(self.look.theme.accent, Rect(left, line.box.bottom - thick, right - left, thick))

    def _x(self, line: TextLine, size: int, place: int) -> int:
        before = self._shown.text[line.start : place]
        return line.box.x + (lettering.width(before, size) if before else 0)

    # By mouse

    def _place_at(self, at: tuple[int, int]) -> int:
        """The place in the text that is nearest to a point of the window."""
        size, lines = self._lines()
        line = min(lines, key=lambda line: abs(line.box.centery - at[1]))
        # The place after a line's last character is the start of the next line: the caret would be seen there.
        last = line.end - (line is not lines[-1])
        places = range(line.start, max(line.start, last) + 1)
        return min(places, key=lambda place: abs(self._x(line, size, place) - at[0]))

    def click(self, at: tuple[int, int]) -> None:
        self._take_over(self.edited.moved(self._place_at(at)))

    def drag(self, at: tuple[int, int]) -> bool:
        self._take_over(self.edited.moved(self._place_at(at), selecting=True))
        return True

    # By key

    def take(self, event: pygame.Event) -> bool:
        edited = self._after(event)
        if edited is None:
            return False
        self._take_over(edited)
        return True

    def _take_over(self, edited: Edited) -> None:
        """Keep the text here too: more of it may come before the screen is laid out again."""
        self.edited = edited
        self.change(edited)

    def _after(self, event: pygame.Event) -> Edited | None:
        """The text after an event; None for one that belongs to the page."""
        if event.type == pygame.TEXTINPUT:
            return self.edited.typed(event.text, self.longest)
        if event.type == pygame.TEXTEDITING:
            return self.edited.composed(event.text)
        key, shift = key_name(event), bool(event.mod & pygame.KMOD_SHIFT)
        if key in ("up", "down") and not self.edited.composing:
            return self._to_line(1 if key == "down" else -1, shift)
        # On a Mac, Cmd with an arrow goes to the end of the line.
        if event.mod & pygame.KMOD_META and key in ("left", "right"):
            return self.edited.after_key("home" if key == "left" else "end", shift)
        # Windows sends Ctrl and Alt for AltGr, with which people write letters.
        command = bool(event.mod & COMMAND) and not event.mod & pygame.KMOD_ALT
        return self.edited.after_key(key, shift, command, bool(event.mod & BY_WORD))

    def _to_line(self, step: int, selecting: bool) -> Edited | None:
        """The caret on the line above (-1) or below (1), as far to the right as it was; None where there is none."""
        size, lines = self._lines()
        here = _line_of(self.edited.caret, [line.start for line in lines])
        if not 0 <= here + step < len(lines):
            return None
        x = self._x(lines[here], size, self.edited.caret)
        return self.edited.moved(self._place_at((x, lines[here + step].box.centery)), selecting)


def _line_of(caret: int, starts: list[int]) -> int:
    """The line that holds the caret, by the places at which the lines start."""
    return max(k for k, start in enumerate(starts) if start <= caret or k == 0)


@lru_cache(maxsize=64)
def _spans(text: str, room: tuple[int, int], size: int, caret: int) -> tuple[int, list[tuple[int, int]]]:
    """The type size and the seen lines of a text in a box: all of it in the largest type that fits.

    What does not fit even in small type scrolls: the caret stays in sight.
    """
    wide, high = room
    if high < 2 * lettering.line_height(size):
        # Too low for two lines: one line, which scrolls sideways.
        high = 1
    # The same sizes as for text that is only read, so that a field and a label of one text look alike.
    for candidate in lettering.sizes(size):
        most = max(1, high // lettering.line_height(candidate))

        # The size is bound here and now: read later, it would be that of the last turn of the loop.
        def measure(words: str, size: int = candidate) -> int:
            return lettering.width(words, size) if words else 0

        if most == 1:
            if measure(text) <= wide:
                return candidate, [(0, len(text))]
            continue
        spans = line_spans(text, wide, measure)
        if len(spans) <= most:
            return candidate, spans
    if most == 1:
        return candidate, [_part_in_sight(text, wide, measure, caret)]
    first = max(0, _line_of(caret, [start for start, _ in spans]) - most + 1)
    return candidate, spans[first : first + most]


def _part_in_sight(text: str, room: int, measure: Callable[[str], int], caret: int) -> tuple[int, int]:
    """The part of a line that fits and holds the caret."""
    # First as much as fits before the caret, then what room is left after it: who types at the end sees the end.
    start = next(k for k in range(caret + 1) if measure(text[k:caret]) <= room)
    end = next(k for k in range(len(text), caret - 1, -1) if measure(text[start:k]) <= room)
    return start, end
