"""Faults of a level file: each is a value with its address in the file, its line, and what would mend it."""

import difflib
import re
import tomllib
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shared.errors import UserError

Address = tuple[str | int, ...]
"""Where something stands in a level: keys, and places in a list counted from 1; empty for the file as a whole."""


BY_COUNT: tuple[Address, ...] = (("spelling",), ("words",))
"""The tables whose keys are counts, which are always shown in quotes."""


@dataclass(frozen=True)
class Fault:
    """One fault: the file, the address in it, what was found there, what would do, and the line from 1 if it has one.

    As text it is one line for whoever wrote the file.
    """

    file: str
    address: Address
    found: str
    wanted: str
    line: int | None = None

    @property
    def place(self) -> str:
        """The address as text, such as ``figures[3]`` or ``exam.pass_mark``."""
        counts = self.address[:1] in BY_COUNT
        return "".join(
            f"[{part}]" if isinstance(part, int) else f".{brief(part) if counts and place else _key(part)}"
            for place, part in enumerate(self.address)
        )[1:]

    def __str__(self) -> str:
        line = "" if self.line is None else f"line {self.line}"
        where = ", ".join(filter(None, (line, self.place)))
        return ": ".join(filter(None, (self.file, where, f"{self.found}; {self.wanted}")))


class LevelError(UserError, ValueError):
    """Level files that cannot be used; ``faults`` are all that was found."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        super().__init__("\n".join(map(str, faults)))
        self.faults = tuple(faults)


def _key(key: str) -> str:
    return key if re.fullmatch(r"[A-Za-z0-9_-]{1,40}", key) else brief(key)


def brief(found: object) -> str:
    """A value that was found, as a few printable characters for an error; None stands for nothing."""
    if found is None:
        return "nothing"
    if isinstance(found, (dict, list)):
        return "a table" if isinstance(found, dict) else f"a list of {len(found)}"
    try:
        text = f'"{found}"' if isinstance(found, str) else str(found)
    # Python refuses to write out whole numbers of more than 4,300 digits.
    except ValueError:
        text = "a huge number"
    text = "".join(c if c.isprintable() else "�" for c in text)
    return text if len(text) <= 40 else text[:39] + "…"


def nearest(name: str, known: tuple[str, ...]) -> str:
    """A hint at the known name that is most like ``name``, or nothing."""
    # The time that difflib takes grows with the square of the length.
    # Half alike is enough: a wrong guess costs the reader a word, a missing one a search through the README.
    near = difflib.get_close_matches(name[:60], known, 1, 0.5)
    return f", did you mean {near[0]!r}?" if near else ""


# The lines

# Three quotes come first in the pattern: a text in three begins like an empty text in one.
TOKEN = re.compile(
    r'''"""(?:\\.|[^\\])*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:\\.|[^"\\\n])*"|'[^'\n]*'|#[^\n]*|[\[\]{}=,.\n]|[^\s\[\]{}=,."'#]+''',
    re.DOTALL,
)
"""A piece of TOML: a text in quotes, a comment, a sign or a bare word (toml.io, v1.0.0)."""


def with_lines(faults: Sequence[Fault], text: str) -> list[Fault]:
    """The faults, each with the line at which it stands in the text of its file.

    What has no line of its own, such as a key within braces, has that of what it stands in.
    """
    lines = _Lines(text).found
    found = []
    for fault in faults:
        address = fault.address
        while address and address not in lines:
            address = address[:-1]
        found.append(replace(fault, line=lines.get(address)))
    return found


class _Lines:
    """Finds the line of each key and of each piece of a list, in text that is known to be TOML.

    The parser of the standard library tells values without their lines.
    """

    def __init__(self, text: str) -> None:
        self.found: dict[Address, int] = {}
        self._table: Address = ()
        self._parts: list[str] = []
        self._address: Address | None = None
        self._brackets: list[str] = []
        self._piece = 1
        line, at = 1, 0
        for token in TOKEN.finditer(text):
            line, at = line + text.count("\n", at, token.start()), token.start()
            if self._address is None:
                self._read_key(token.group(), line)
            else:
                self._read_value(token.group(), line)

    def _note(self, address: Address, line: int) -> None:
        # The first line counts: a table's own heading, not a key of it that is written with dots.
        self.found.setdefault(address, line)

    def _read_key(self, token: str, line: int) -> None:
        """Before the equals sign, or in the heading of a table."""
        if token == "\n":
            self._parts = []
        elif token == "]":
            self._table = tuple(self._parts)
            self._note(self._table, line)
        elif token == "=":
            self._address = (*self._table, *self._parts)
            self._note(self._address, line)
            self._brackets, self._piece = [], 1
        elif token not in (".", "[") and not token.startswith("#"):
            self._parts.append(_unquoted(token))

    def _read_value(self, token: str, line: int) -> None:
        assert self._address is not None
        if token == "\n" and not self._brackets:
            self._address, self._parts = None, []
        elif token in ("]", "}"):
            self._brackets = self._brackets[:-1]
        elif self._brackets == ["["] and token == ",":
            self._piece += 1
        elif token not in ("\n", ",", "=", ".") and not token.startswith("#"):
            if self._brackets == ["["]:
                self._note((*self._address, self._piece), line)
            if token in ("[", "{"):
                self._brackets.append(token)


def _unquoted(key: str) -> str:
    """A key as it is read."""
    if key[0] not in "\"'":
        return key
    # Left to the parser, which knows every escape that a key may have.
    (name,) = tomllib.loads(f"{key} = 0")
    return name
