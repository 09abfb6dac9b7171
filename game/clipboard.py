"""The system's clipboard: the one door to it.  Where there is none, what was copied here can still be pasted here."""

import pygame


class Clipboard:
    """Text that was copied, in this program or elsewhere."""

    def __init__(self) -> None:
        self._unshared = ""

    def copy(self, text: str) -> None:
        """Keep a text for pasting."""
        try:
            pygame.scrap.put_text(text)
        except (pygame.error, ValueError):
            # No display to ask, or a text that it can't hold: it goes no further than this window.
            self._unshared = text
        else:
            self._unshared = ""

    def text(self) -> str:
        """The text that was copied last; empty where that was no text."""
        if self._unshared:
            return self._unshared
        try:
            return pygame.scrap.get_text()
        except (pygame.error, UnicodeDecodeError):
            return ""
