"""A list with one chosen row, which scrolls when it is longer than its box."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Act, Draw, Lettered, Widget, letter, write
from game.widgets.boxes import first_seen
from game.widgets.controls import TARGET
from game.widgets.keycaps import key_name
from game.widgets.look import Look
from game.widgets.moves import Next


@dataclass(frozen=True)
class Row:
    """A line of a list: its words, and a quieter remark at the right; what is drawn comes between the two.

    One that is ``set_in`` belongs to the line above it that is not.
    """

    text: str
    remark: str = ""
    draw: Draw | None = None
    set_in: bool = False


def row_height(look: Look) -> int:
    """The height of a row of a list, in pixels: words too long for one line may take a second at a readable size."""
    two_lines = 2 * lettering.line_height(round(lettering.READABLE * look.type_size("body")))
    return max(look.u(TARGET - 4), two_lines)


class Scrolled(Widget):
    """A choice that scrolls where the box can't show all of it; a second click acts on the chosen thing."""

    chosen: int
    change: Callable[[int], None]
    act: Act
    repeats = True

    kept: int | None = None
    """The first line that was seen at a click: what is under the mouse must not move before its second click."""

    @property
    def _first(self) -> int:
        """The first line that is seen."""
        raise NotImplementedError

    def shown(self) -> list[tuple[int, Rect]]:
        """The numbers of the things that are seen now, with their places."""
        raise NotImplementedError

    def first_line(self, chosen: int, seen: int, count: int) -> int:
        """The first of ``seen`` lines out of ``count``, the chosen one among them: as at a click, if that shows it."""
        kept = self.kept
        if kept is not None and kept <= chosen < kept + seen and kept <= max(0, count - seen):
            return kept
        return first_seen(chosen, seen, count)

    def replaces(self, before: Widget) -> None:
        if isinstance(before, Scrolled):
            self.kept = before.kept

    def click(self, at: tuple[int, int]) -> Next:
        self.kept = self._first
        for k, place in self.shown():
            if place.collidepoint(at):
                # The second click on a row: the first one chose it.
                if k == self.chosen:
                    return self.act()
                self.change(k)
        return None

    def choose(self, target: int | None, count: int) -> bool:
        """Choose one of ``count`` things; False where there is none of that number."""
        # False at either end too: the arrow may then lead the focus on.
        if target is None or not 0 <= target < count:
            return False
        self.kept = None
        self.change(target)
        return True

    # Always True: the wheel over a list belongs to it, at its ends too, and must not scroll something behind.
    def move(self, step: int, count: int) -> bool:
        """Choose the thing some steps on, or the last one that way."""
        target = min(max(0, self.chosen + step), count - 1)
        if target != self.chosen:
            self.kept = None
            self.change(target)
        return True

    def paint_more(self, canvas: Surface, look: Look, count: int) -> None:
        """Signs that more of the ``count`` things lie above or below."""
        shown, side = self.shown(), look.u(16)
        if not shown:
            return
        x, low = self.rect.right - side, min(self.rect.bottom, shown[-1][1].bottom) - side
        if shown[0][0] > 0:
            look.shape(canvas, "up", Rect(x, self.rect.y, side, side), look.theme.accent)
        if shown[-1][0] < count - 1:
            look.shape(canvas, "down", Rect(x, low, side, side), look.theme.accent)


@dataclass
class ListBox(Scrolled):
    """Rows to choose from: up, down, home, end or a click choose; Enter acts on the chosen one."""

    rows: Sequence[Row]
    chosen: int
    change: Callable[[int], None]
    act: Act
    row_height: int
    focusable: bool = field(default=True, kw_only=True)

    @property
    def _visible(self) -> int:
        return max(1, self.rect.h // self.row_height)

    @property
    def _first(self) -> int:
        return self.first_line(self.chosen, self._visible, len(self.rows))

    def shown(self) -> list[tuple[int, Rect]]:
        numbers = range(self._first, min(len(self.rows), self._first + self._visible))
        top, high = self.rect.y, self.row_height
        return [(k, Rect(self.rect.x, top + (k - self._first) * high, self.rect.w, high)) for k in numbers]

    def _letter(self, look: Look, k: int, line: Rect) -> list[Lettered]:
        row, inside = self.rows[k], line.inflate(-look.u(28), 0)
        # Half of the row at most, so that a long remark leaves its words readable.
        room = min(inside.w // 2, look.width(row.remark, "small") + look.u(12)) if row.remark else 0
        inset = look.u(24) if row.set_in else 0
        words = Rect(inside.x + inset, inside.y, inside.w - room - inset, inside.h)
        found = [letter(look, row.text, words, "body", k == self.chosen)]
        if row.remark:
            found.append(letter(look, row.remark, Rect(words.right, inside.y, room, inside.h), "small"))
        return found

    def lettering(self, look: Look) -> list[Lettered]:
        return [lettered for k, line in self.shown() for lettered in self._letter(look, k, line)]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        for k, line in self.shown():
            if k == self.chosen:
                look.box(canvas, line, theme.wash)
                canvas.fill(theme.accent, (line.x, line.y + look.u(6), look.u(4), line.h - look.u(12)))
            for lettered, colour, align in zip(
                self._letter(look, k, line), (theme.ink, theme.quiet), ("left", "right"), strict=False
            ):
                write(canvas, lettered, colour, align)
            self._draw(canvas, look, k, line)
        self.paint_more(canvas, look, len(self.rows))

    def _draw(self, canvas: Surface, look: Look, k: int, line: Rect) -> None:
        row = self.rows[k]
        if row.draw:
            words, *remarks = self._letter(look, k, line)
            widest = max(look.width(one.text, "body", True) for one in self.rows)
            # Behind the longest text of all rows, so that the pictures stand in one column.
            left = words.box.x + min(widest, words.box.w) + look.u(16)
            right = remarks[0].box.x if remarks else words.box.right
            row.draw(canvas, look, Rect(left, line.y + look.u(3), right - left - look.u(16), line.h - look.u(6)))

    def press(self) -> Next:
        return self.act() if self.rows else None

    def take(self, event: pygame.Event) -> bool:
        last = len(self.rows) - 1
        jumps = {
            "up": self.chosen - 1,
            "down": self.chosen + 1,
            "page up": max(0, self.chosen - self._visible),
            "page down": min(last, self.chosen + self._visible),
            "home": 0,
            "end": last,
        }
        return self.choose(jumps.get(key_name(event)), len(self.rows))

    def scroll(self, down: int) -> bool:
        return self.move(down, len(self.rows))
