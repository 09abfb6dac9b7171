"""The keys of a level file, each once: what kind of value it takes, within what bounds, and what it is called.

Reading, writing and editing a level all go by this table.
"""

from dataclasses import dataclass
from enum import Enum

from shared.orchestration import MOST_GROOVE_BARS
from shared.passages import FASTEST, SLOWEST


class Kind(Enum):
    """The kind of value that a key of a level holds."""

    TEXT = "a line of text"
    METER = "a meter"
    FIGURES = "a list of figures"
    BY_FIGURE = "a text for some figures"
    ORCHESTRATIONS = "a list of orchestrations"
    GROOVES = "a list of numbers of groove bars"
    NUMBER = "a number"


@dataclass(frozen=True)
class LevelKey:
    """A key of a level, or of a table within it.

    ``title`` and ``about`` are for the teacher who edits it.  ``low`` and ``high`` bound a number, the length of a
    text in characters, or of a list; ``needed`` keys can't be left out.
    """

    kind: Kind
    title: str
    about: str
    low: float = 0
    high: float = 0
    whole: bool = False
    needed: bool = False


def _mark(title: str, example: float) -> LevelKey:
    about = f"The share of beats to be right, from 0 to 1, such as {example}."
    return LevelKey(Kind.NUMBER, f"Exam: {title}", about, 0, 1)


# In the order in which the level editor lists them.
KEYS = {
    "title": LevelKey(Kind.TEXT, "Title", "One line of at most 60 characters.", 1, 60, needed=True),
    "about": LevelKey(Kind.TEXT, "About", "What is new here and what it is for, in at most 400 characters.", 0, 400),
    "meter": LevelKey(
        Kind.METER, "Meter", "Crotchet beats in 2/4, 3/4 and 4/4, dotted crotchets in 6/8, 9/8 and 12/8.", needed=True
    ),
    # 24, since there are no more keys for their tiles, nor letters on a worksheet.
    "figures": LevelKey(
        Kind.FIGURES, "Figures", "2 to 24 figures: type their counts with commas between them, or tick them below "
        "with Enter.", 2, 24, needed=True,
    ),
    "new": LevelKey(
        Kind.FIGURES, "New figures", "Those that are introduced here. Each is also one of the level's figures."
    ),
    "order": LevelKey(
        Kind.FIGURES, "Order", "In which order figures are met: any of them; the others follow, from plain to dense."
    ),
    "spelling": LevelKey(
        Kind.BY_FIGURE, "Spellings", "Choose a figure, then how it is written; the first way is the usual one."
    ),
    "words": LevelKey(
        Kind.BY_FIGURE, "Memory words", "Choose a figure, then write its word. An empty one is as shipped.", 0, 40
    ),
    "count": LevelKey(
        Kind.TEXT, "Count words", "The words shown in place of e & a trip let la li ta, in this order and as far as "
        "they differ, such as e + e. What is typed as an answer stays as it is.", 0, 60,
    ),
    "orchestrations": LevelKey(
        Kind.ORCHESTRATIONS, "On the kit", "The ways round the kit that are asked. Enter takes one in or leaves it "
        "out.", 1,
    ),
    "groove_bars": LevelKey(
        Kind.GROOVES, "Groove bars", "How many bars of groove may come before the bar. Enter takes one in or out.", 0,
        MOST_GROOVE_BARS, whole=True,
    ),
    "tempo.low": LevelKey(
        Kind.NUMBER, "Slowest tempo", f"In beats a minute, from {SLOWEST:g}.", SLOWEST, FASTEST
    ),
    "tempo.high": LevelKey(
        Kind.NUMBER, "Fastest tempo", f"In beats a minute, up to {FASTEST:g}.", SLOWEST, FASTEST
    ),
    "exam.questions": LevelKey(
        Kind.NUMBER, "Exam: bars", "How many bars the exam asks, 1 to 100.", 1, 100, whole=True
    ),
    "exam.hearings": LevelKey(
        Kind.NUMBER, "Exam: hearings", "How often each bar may be heard, 1 to 10.", 1, 10, whole=True
    ),
    "exam.playing": LevelKey(
        Kind.NUMBER, "Exam: bars to play", "How many bars are played, not named, 0 to 100.", 0, 100, whole=True
    ),
    "exam.pass_mark": _mark("pass", 0.7),
    "exam.merit_mark": _mark("merit", 0.8),
    "exam.distinction_mark": _mark("distinction", 0.9),
}  # fmt: skip
"""Every key by its place in the file: after a dot stands the key within a table.  ``format`` alone is not here."""

TOP_KEYS = (*dict.fromkeys(place.partition(".")[0] for place in KEYS), "format")
"""The keys of the file itself."""


def inside(table: str) -> tuple[str, ...]:
    """The keys within a table of the file, such as ``exam``."""
    return tuple(place.partition(".")[2] for place in KEYS if place.startswith(f"{table}."))
