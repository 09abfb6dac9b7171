"""The controls: button, choice of a few, slider."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from functools import partial
from itertools import accumulate, pairwise
from typing import Any

import pygame
from pygame import Rect, Surface

from game.widgets import lettering
from game.widgets.base import Act, Lettered, Widget, letter, write
from game.widgets.keycaps import key_name, title
from game.widgets.look import Look
from game.widgets.moves import Next

# 44 pixels are what WCAG 2.2 asks of a target at its highest level (success criterion 2.5.5).
TARGET = 50
"""The usual height of a control, in units: 44 pixels or more in a window of 1126 x 634 and up."""


AIRS = ((28, 8, 16, 0.52), (10, 0, 6, 0.66), (10, 0, 6, 0.52), (10, 0, 6, 0.4))
"""The air in a button, in units: beside and above its words together, and before the key; and what part of its height
its word takes where a second line stands below.  The roomiest first."""


@dataclass
class Button(Widget):
    """A word that can be pressed.  ``main`` marks the one that most people want next.

    ``lit`` marks one whose sound plays.  ``about`` is a second, quieter line under the word; ``cap`` stands at its
    right in place of its key.
    """

    text: str
    act: Act
    main: bool = False
    about: str = ""
    lit: bool = field(default=False, kw_only=True)
    cap: str = field(default="", kw_only=True)
    focusable: bool = field(default=True, kw_only=True)

    def press(self) -> Next:
        return self.act()

    @property
    def _cap(self) -> str:
        return self.cap or (title(self.key) if self.key else "")

    def lettering(self, look: Look) -> list[Lettered]:
        role = "lead" if self.main and self.about else "body"
        found = [self._lettered(look, role, AIRS[0])]
        # Long words, as other languages have them, rather take the air around them than become small.
        for air in AIRS[1:]:
            if self._share(look, role, found[-1]) >= lettering.READABLE:
                return found[-1]
            role = "body"
            found.append(self._lettered(look, role, air))
        return max(found[1:], key=partial(self._share, look, role))

    def _share(self, look: Look, role: str, found: Sequence[Lettered]) -> float:
        """The size of the smallest of the words, as a part of what it was to have."""
        roles = [role, "small"]
        # The smallest decides: a large word over a line that can't be read is no gain.
        return min(
            one.fitted.size / look.type_size(role)
            for role, one in zip(roles, found[: 1 + bool(self.about)], strict=False)
        )

    def _lettered(self, look: Look, role: str, air: tuple[int, int, int, float]) -> list[Lettered]:
        beside, above, between = (look.u(part) if part else 0 for part in air[:3])
        inside = self.rect.inflate(-beside, -above)
        upper = round(inside.h * air[3]) if self.about else inside.h
        found = self._word_and_key(look, role, Rect(inside.x, inside.y, inside.w, upper), between)
        if self.about:
            lower = Rect(inside.x, inside.y + upper, inside.w, inside.h - upper)
            found.insert(1, letter(look, self.about, lower, "small"))
        return found

    def _word_and_key(self, look: Look, role: str, box: Rect, between: int) -> list[Lettered]:
        """The word and, where there is one, its key: where room is short both shrink, and the word stays the larger."""
        if not self._cap:
            return [letter(look, self.text, box, role, True)]
        usual, small = look.type_size(role), look.type_size("small")
        tried = lettering.sizes(usual)
        for size in tried:
            # No smaller than what is read well, unless the word is or would else be cut.
            readable = 0 if size == tried[-1] else min(size, round(lettering.READABLE * small))
            wanted = max(small * size / usual, readable)
            least = min(one for one in lettering.sizes(small) if one >= wanted)
            room = lettering.width(self._cap, least, True)
            words = Rect(box.x, box.y, box.w - room - between, box.h)
            word = letter(look, self.text, words, role, True)
            if word.fitted.size >= size:
                break
        return [word, letter(look, self._cap, Rect(box.right - room, box.y, room, box.h), "small", True)]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        full = self.main or self.lit
        fill = theme.accent if full else theme.wash if self.hovered else theme.paper
        ink = theme.on_accent if full else theme.ink
        look.box(canvas, self.rect, fill, theme.accent if full else theme.quiet, 1.5)
        found = self.lettering(look)
        write(canvas, found[0], ink)
        if self.about:
            write(canvas, found[1], theme.on_accent if full else theme.quiet)
        if self._cap:
            write(canvas, found[-1], ink if full else theme.accent, "right")


WORD, BESIDE = 0.42, 0.2
"""The usual size of a word in a choice, and the air beside it, as parts of its height."""


@dataclass
class Choice(Widget):
    """One of a few: ``options`` as (value, words).  Left and right, or a click, change it at once."""

    options: Sequence[tuple[Any, str]]
    value: Any
    change: Callable[[Any], None]
    focusable: bool = field(default=True, kw_only=True)

    def _cells(self) -> list[Rect]:
        """A cell for each option: what its longest word needs, then what all its words do, then equal parts."""
        size = max(1, round(WORD * self.rect.h))
        wholes = [lettering.width(words, size, True) for _, words in self.options]
        longest = [max(lettering.width(word, size, True) for word in words.split(" ")) for _, words in self.options]
        needs = [max(word + self.rect.h * BESIDE, self.rect.h) for word in longest]
        spare = self.rect.w - sum(needs)
        more = [whole - word for whole, word in zip(wholes, longest, strict=True)]
        given = min(1.0, max(0.0, spare) / (sum(more) or 1))
        equal = (spare - given * sum(more)) / len(needs)
        if spare < 0:
            needs, equal = [need * self.rect.w / sum(needs) for need in needs], 0.0
        # By rounded edges, so that the cells together fill the box to the pixel.
        extents = (need + given * extra + equal for need, extra in zip(needs, more, strict=True))
        edges = [self.rect.x + round(at) for at in accumulate(extents, initial=0.0)]
        return [Rect(a, self.rect.y, b - a, self.rect.h) for a, b in pairwise(edges)]

    def lettering(self, look: Look) -> list[Lettered]:
        """All the options in one type size, the largest that fits them all."""
        boxes = [cell.inflate(-look.u(8), 0) for cell in self._cells()]
        # Measured bold, though only the chosen one is: no word may change its size by being chosen.
        alone = [letter(look, words, box, bold=True) for box, (_, words) in zip(boxes, self.options, strict=True)]
        size = min(lettered.fitted.size for lettered in alone)
        return [
            Lettered(words, box, lettering.fit(words, box.size, size, value == self.value), value == self.value)
            for box, (value, words) in zip(boxes, self.options, strict=True)
        ]

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        look.box(canvas, self.rect, theme.paper, theme.quiet, 1.5)
        for cell, lettered, (value, _) in zip(self._cells(), self.lettering(look), self.options, strict=True):
            chosen = value == self.value
            if chosen:
                look.box(canvas, cell, theme.accent)
            write(canvas, lettered, theme.on_accent if chosen else theme.ink, "centre")

    def press(self) -> None:
        self._step(1, around=True)

    def click(self, at: tuple[int, int]) -> None:
        for cell, (value, _) in zip(self._cells(), self.options, strict=True):
            if cell.collidepoint(at):
                self.change(value)

    def take(self, event: pygame.Event) -> bool:
        step = {"left": -1, "right": 1}.get(key_name(event), 0)
        return bool(step) and self._step(step)

    def _step(self, step: int, around: bool = False) -> bool:
        values = [value for value, _ in self.options]
        place = values.index(self.value) + step
        if around:
            place %= len(values)
        # False at either end: the arrow is then free to lead the focus on.
        if not 0 <= place < len(values):
            return False
        self.change(values[place])
        return True


@dataclass
class Slider(Widget):
    """A number from ``low`` to ``high`` in steps; ``words`` says the value."""

    value: float
    low: float
    high: float
    step: float
    change: Callable[[float], None]
    words: Callable[[float], str]
    focusable: bool = field(default=True, kw_only=True)
    repeats = True

    def _track(self) -> Rect:
        inset = self.rect.h // 2
        return Rect(self.rect.x + inset, self.rect.y, round(self.rect.w * 0.68) - inset, self.rect.h)

    def lettering(self, look: Look) -> list[Lettered]:
        left = self._track().right + self.rect.h // 2
        box = Rect(left, self.rect.y, self.rect.right - left, self.rect.h)
        return [letter(look, self.words(self.value), box, "body")]

    def paint(self, canvas: Surface, look: Look) -> None:
        track, theme = self._track(), look.theme
        share = (self.value - self.low) / (self.high - self.low)
        x = track.x + round(track.w * share)
        groove = Rect(track.x, track.centery - look.u(2), track.w, look.u(4))
        look.box(canvas, groove, theme.quiet, radius=2)
        look.box(canvas, Rect(groove.x, groove.y - look.u(1), x - groove.x, look.u(6)), theme.accent, radius=3)
        look.dot(canvas, (x, track.centery), look.u(12), theme.accent)
        write(canvas, self.lettering(look)[0], theme.ink)

    def _set(self, value: float) -> None:
        # From the low end in whole steps, so that moving to and fro adds up no rounding.
        steps = round((value - self.low) / self.step)
        self.change(min(self.high, max(self.low, self.low + steps * self.step)))

    def click(self, at: tuple[int, int]) -> None:
        track = self._track()
        share = min(1.0, max(0.0, (at[0] - track.x) / track.w))
        self._set(self.low + share * (self.high - self.low))

    def drag(self, at: tuple[int, int]) -> bool:
        self.click(at)
        return True

    def take(self, event: pygame.Event) -> bool:
        # Up and down are left to the page: they lead from one control to the next.
        moves = {"left": self.value - self.step, "right": self.value + self.step, "home": self.low, "end": self.high}
        name = key_name(event)
        if name in moves:
            self._set(moves[name])
        return name in moves
