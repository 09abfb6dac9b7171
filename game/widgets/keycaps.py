"""Names of keys: by the event of a key, and as printed on it."""

import pygame

TITLES = {
    "return": "Enter",
    "escape": "Esc",
    "space": "Space",
    "backspace": "Backspace",
    "tab": "Tab",
    "page up": "Page up",
    "page down": "Page down",
    "home": "Home",
    "end": "End",
    "delete": "Delete",
    "f1": "F1",
    "f11": "F11",
}
"""The words on a key, where they are not simply its name in capitals."""

# Keys that stand twice on a keyboard do the same in both places.
_NAMES = {
    pygame.K_KP_ENTER: "return",
    pygame.K_PAGEUP: "page up",
    pygame.K_PAGEDOWN: "page down",
    # By itself pygame calls these [0] to [9].
    **{getattr(pygame, f"K_KP{digit}"): str(digit) for digit in range(10)},
}

_DIGIT_ROW = {30 + k: str((k + 1) % 10) for k in range(10)}
"""Scan codes of the row of digits (USB HID usage table 0x07), for layouts that need Shift for digits."""


def key_name(event: pygame.Event) -> str:
    """The name of the key of a KEYDOWN event, such as ``a``, ``7``, ``return``, ``left``.

    The digits are found on the number pad too, and on layouts where they need Shift.
    """
    if event.key in _NAMES:
        return _NAMES[event.key]
    name = pygame.key.name(event.key)
    # French keyboards, for one, have & and é where others have 1 and 2.
    if len(name) < 2 and not (name.isascii() and name.isalnum()):
        return _DIGIT_ROW.get(getattr(event, "scancode", 0), name)
    return name


def title(name: str) -> str:
    """The words on a key: ``Enter`` for ``return``, ``S`` for ``s``."""
    return TITLES.get(name, name.upper() if len(name) == 1 else name.capitalize())
