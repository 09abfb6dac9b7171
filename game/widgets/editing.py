"""A text being written: its caret, what is selected, what an input method composes, and what each key makes of it.

Values only: the display, the clipboard and the place of the caret on the page belong to ``text_field``.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

WORD_BEFORE = re.compile(r"\w*\W*$")
"""The text from the start of the word before the caret up to the caret."""

WORD_AFTER = re.compile(r"\W*\w*")
"""The text from the caret to the end of the word after it."""


@dataclass(frozen=True)
class Edited:
    """A text with the place of its caret, from 0 before the first character.

    What lies between ``anchor`` and the caret is selected; without an anchor nothing is.  ``composing`` is what
    an input method has at the caret and has not handed over yet; it is no part of the text.
    """

    text: str = ""
    caret: int = 0
    anchor: int | None = None
    composing: str = ""

    @classmethod
    def at_end(cls, text: str) -> "Edited":
        """A text with the caret after it."""
        return cls(text, len(text))

    @classmethod
    def selected_whole(cls, text: str) -> "Edited":
        """A text that the first key typed replaces."""
        return cls(text, len(text), 0 if text else None)

    @property
    def span(self) -> tuple[int, int]:
        """Where the selection starts and ends; both are the caret where nothing is selected."""
        anchor = self.caret if self.anchor is None else self.anchor
        return min(anchor, self.caret), max(anchor, self.caret)

    @property
    def selected(self) -> str:
        """The selected text."""
        start, end = self.span
        return self.text[start:end]

    def typed(self, more: str, longest: int) -> "Edited":
        """With more text in place of the selection, as far as ``longest`` characters allow."""
        start, end = self.span
        room = max(0, longest - len(self.text) + end - start)
        # What is pasted may hold line breaks and tabs, which a field of one text has no place for.
        plain = "".join(" " if sign.isspace() else sign for sign in more)
        more = "".join(sign for sign in plain if sign.isprintable())[:room]
        return Edited(self.text[:start] + more + self.text[end:], start + len(more))

    def composed(self, text: str) -> "Edited":
        """While an input method composes: its text so far, empty once it has given up."""
        return replace(self, composing=text)

    def moved(self, place: int, selecting: bool = False) -> "Edited":
        """With the caret at a place, or at the end nearest to it; ``selecting`` takes what lies between along."""
        anchor = None
        if selecting:
            anchor = self.caret if self.anchor is None else self.anchor
        return Edited(self.text, min(max(0, place), len(self.text)), anchor)

    def all(self) -> "Edited":
        """With everything selected."""
        return Edited(self.text, len(self.text), 0)

    def without(self, place: int) -> "Edited":
        """Without the selection; where nothing is selected, without what lies between the caret and a place."""
        start, end = self.span
        if start == end:
            start, end = sorted((self.caret, min(max(0, place), len(self.text))))
        return Edited(self.text[:start] + self.text[end:], start)

    @property
    def word_before(self) -> int:
        """The start of the word before the caret."""
        found = WORD_BEFORE.search(self.text[: self.caret])
        return found.start() if found else 0

    @property
    def word_after(self) -> int:
        """The end of the word after the caret."""
        found = WORD_AFTER.match(self.text, self.caret)
        return found.end() if found else len(self.text)

    def after_key(self, key: str, shift: bool = False, command: bool = False, by_word: bool = False) -> "Edited | None":
        """The text after a key, by its name; None for one that has no use in a line of text.

        ``command`` is Ctrl, or Cmd on a Mac; ``by_word`` Ctrl, or Alt on a Mac.  What is copied or pasted is the
        window's own affair: of "copy" nothing remains here, of "cut" that the selection is gone.
        """
        if self.composing:
            # Keys belong to the input method until it hands its text over.
            return self
        if command and key in ("a", "c", "v"):
            return self.all() if key == "a" else self
        if command and key == "x":
            return self.without(self.caret)
        before, after = (self.word_before, self.word_after) if by_word else (self.caret - 1, self.caret + 1)
        # As everywhere: an arrow leaves a selection at its end that way, without a further step.
        if self.selected and not (shift or by_word):
            before, after = self.span
        acts: dict[str, Callable[[], Edited]] = {
            "backspace": lambda: self.without(self.word_before if by_word else self.caret - 1),
            "delete": lambda: self.without(self.word_after if by_word else self.caret + 1),
            "left": lambda: self.moved(before, shift),
            "right": lambda: self.moved(after, shift),
            "home": lambda: self.moved(0, shift),
            "end": lambda: self.moved(len(self.text), shift),
        }
        act = acts.get(key)
        return act() if act else None


def line_spans(text: str, room: float, measure: Callable[[str], float]) -> list[tuple[int, int]]:
    """Where each line of a text starts and ends when it is broken to ``room``, in the unit of ``measure``.

    Lines break after spaces, which may hang over the edge; a word that is too wide for a line breaks anywhere.
    Unlike text that is only read, no character is lost between two lines, so that the caret can be at each.
    """
    spans: list[tuple[int, int]] = []
    start = 0
    while True:
        end = _line_end(text, start, room, measure)
        spans.append((start, end))
        if end >= len(text):
            return spans
        start = end


def _line_end(text: str, start: int, room: float, measure: Callable[[str], float]) -> int:
    end = start
    for word in re.finditer(r"\S*\s*", text[start:]):
        stop = start + word.end()
        if end > start and measure(text[start:stop].rstrip()) > room:
            break
        end = stop
    # At least one character a line, however narrow the box: else the lines would never end.
    while end > start + 1 and measure(text[start:end].rstrip()) > room:
        end -= 1
    return end
