"""Text that is written and mended in place, with a caret that can be anywhere in it."""

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Act, Lettered, letter, write
from game.widgets.controls import Written
from game.widgets.keycaps import key_name
from game.widgets.look import Look


@dataclass(frozen=True)
class Edited:
    """A text and the place of its caret, from 0 before the first character."""

    text: str = ""
    caret: int = 0

    @classmethod
    def at_end(cls, text: str) -> "Edited":
        """A text with the caret after it."""
        return cls(text, len(text))

    def typed(self, more: str, longest: int) -> "Edited":
        """With more text at the caret, as far as ``longest`` characters allow."""
        more = "".join(sign for sign in more if sign.isprintable())[: max(0, longest - len(self.text))]
        return Edited(self.text[: self.caret] + more + self.text[self.caret :], self.caret + len(more))

    def without(self, step: int) -> "Edited":
        """Without the character before the caret (-1) or after it (1)."""
        start, end = sorted((self.caret, self.caret + step))
        if start < 0 or end > len(self.text):
            return self
        return Edited(self.text[:start] + self.text[end:], start)

    def moved(self, place: int) -> "Edited":
        """With the caret at a place, or at the end that is nearest to it."""
        return replace(self, caret=min(max(0, place), len(self.text)))


@dataclass
class TextArea(Written):
    """Text to be written, over several lines where the box is high.  Enter does ``done``.

    ``edited`` lives with the screen: ``change`` is told each new one.  ``empty`` is shown while nothing is
    written.
    """

    edited: Edited
    change: Callable[[Edited], None]
    done: Act
    empty: str = ""
    longest: int = 400
    faulty: bool = False
    focusable: bool = field(default=True, kw_only=True)

    def lettering(self, look: Look) -> list[Lettered]:
        return [letter(look, self.edited.text or self.empty, self.rect.inflate(-look.u(28), -look.u(10)))]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        edge = theme.warn if self.faulty else theme.accent if self.focused else theme.quiet
        look.box(canvas, self.rect, theme.paper, edge, 2.5 if self.faulty else 1.5)
        lettered = self.lettering(look)[0]
        write(canvas, lettered, theme.ink if self.edited.text else theme.quiet)
        if self.focused:
            self._paint_caret(canvas, look, lettered)

    def _paint_caret(self, canvas: Surface, look: Look, lettered: Lettered) -> None:
        fitted, box = lettered.fitted, lettered.box
        line, before = self._caret_line(fitted.lines)
        step = lettering.line_height(fitted.size)
        x = box.x + (lettering.width(before, fitted.size) if before else 0)
        top = box.y + (box.h - fitted.height) // 2 + line * step
        canvas.fill(look.theme.accent, Rect(min(x, box.right), top, look.u(2), step))

    def _caret_line(self, lines: tuple[str, ...]) -> tuple[int, str]:
        """The line that holds the caret, and what stands before it there."""
        if not self.edited.text:
            return 0, ""
        left = self.edited.caret
        for k, line in enumerate(lines):
            if left <= len(line) or k == len(lines) - 1:
                return k, line[:left]
            left -= len(line) + 1
        return 0, ""

    def take(self, event: pygame.Event) -> bool:
        edited = self._after(event)
        if edited is None:
            return False
        self.change(edited)
        return True

    def _after(self, event: pygame.Event) -> Edited | None:
        """The text after an event; None for one that belongs to the page."""
        if event.type == pygame.TEXTINPUT:
            return self.edited.typed(event.text, self.longest)
        now = self.edited
        acts: dict[str, Callable[[], Edited]] = {
            "backspace": lambda: now.without(-1),
            "delete": lambda: now.without(1),
            "left": lambda: now.moved(now.caret - 1),
            "right": lambda: now.moved(now.caret + 1),
            "home": lambda: now.moved(0),
            "end": lambda: now.moved(len(now.text)),
        }
        act = acts.get(key_name(event))
        return act() if act else None
