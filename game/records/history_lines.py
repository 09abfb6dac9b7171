"""The lines of a history file: JSON, one thing a line, UTF-8.

The first line says what the file is and whose::

    {"drumlin": "history", "format": 3, "player": {"uuid": "...", "name": "Wren", "kind": "player"}}

Each further line is one of::

    {"answer": {"question": "...", "place": 0, "at": 1795591891.25, "level": "stage-3", "meter": "4/4", ...}}
    {"round": {"uuid": "...", "level": "stage-3", "started": ..., "finished": ..., "beats": 40, ...}}
    {"exam": {"uuid": "...", "level": "stage-3", "started": ..., "state": "finished", "mark": 0.8, ...}}
    {"take": {"uuid": "...", "at": ..., "tempo": 80.0, "strokes": [[0.0, "R", "snare", 0.8], ...], ...}}
    {"fill": {"name": "River", "count": "1 e a 2 & 3 4", "fill": {...}, "setting": {"tempo": 80.0, ...}}}
    {"riddle": {"uuid": "...", "mine": true, "other": "Finch", "other_uuid": "...", "name": "River", "at": ..., ...}}

The fields are those of ``Answer``, ``Round``, ``Exam``, ``Take``, ``KeptFill`` and ``Riddle``; times are seconds since
the epoch.  A field that is absent has its default.  A fill has the fields ``meter``, ``sticking`` and ``beats``; a beat
is null where the groove goes on, else it has its ``figure``, counted on beat 1, and ``strokes``, each as [drums, force,
hand].  A riddle is ``mine`` where the player of the file asks it; ``other`` is who is asked then, and else who asks.

Format 1 lacked takes, and the fields below ``share``; format 2 lacked fills and riddles.  Further keys are passed over,
so that other programs may add their own.
"""

import json
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache
from typing import Any
from uuid import UUID

from game.learning.evidence import ABILITIES, KINDS, Answer
from game.records.checks import ANYTHING, SWITCH, TABLE, TIME, Check, number, one_of, optional, remembering, text, whole
from game.records.errors import RecordsError
from game.records.fills import KeptFill, Riddle, SharedRiddle
from game.records.log import Logged, answer_of
from game.records.players import PLAYER_KINDS, clean_name
from game.records.results import Exam, Round
from game.records.takes import PlaceTiming, PlayedStroke, Take
from shared.bars import METERS, SINGLE_BEATS
from shared.counting import CountError, parse_bar, parse_figure
from shared.errors import UserError
from shared.fills import FillError, from_values

Item = Logged | tuple[str, Round] | Exam | Take | KeptFill | SharedRiddle
"""A thing that a line of a history holds; a round comes with its UUID."""

FORMAT, READ = 3, (1, 2, 3)
"""The format that is written, and those that are read."""

MANY = 10**9
"""The most that any count may be: SQLite holds more, but nobody has answered so often."""

LONGEST_FIGURE, MOST_FIGURES = 100, 24
"""Characters of a figure's count, and figures on offer in one question, that are read."""

MANY_BEATS = 24
"""More beats than any fill has."""

_SINCE_FORMAT_2 = (
    "choices", "met", "attempt", "unsure", "changes", "alone", "slower", "reason", "probability", "ability",
    "tries", "rule", "forecast", "timing",
)  # fmt: skip
"""The fields that format 1 did not have: absent where they have their defaults."""


class LineError(UserError, ValueError):
    """A line that can't be used; the message says what was found and what would do."""


@dataclass(frozen=True)
class Owner:
    """Whose history a file is."""

    uuid: str
    name: str
    kind: str


def _is_figure(count: str) -> bool:
    try:
        parse_figure(count)
    except CountError:
        return False
    return len(count) <= LONGEST_FIGURE


@lru_cache(maxsize=10_000)
def _beats_of(bar: str, meter: str) -> int | None:
    """How many beats a bar has; None where it can't be read as one of that meter."""
    try:
        return len(parse_bar(bar, (METERS | SINGLE_BEATS)[meter]).figures)
    except CountError:
        return None


def _is_name(value: object) -> bool:
    try:
        return isinstance(value, str) and clean_name(value) == value
    except RecordsError:
        return False


def _is_uuid(value: str) -> bool:
    try:
        # In one spelling only: UUID() takes capitals and braces too, and the same bar would come in twice.
        return str(UUID(value)) == value
    except ValueError:
        return False


_UUID = Check(
    lambda value: isinstance(value, str) and _is_uuid(value), "a UUID like 6ba7b810-9dad-41d1-80b4-00c04fd430c8"
)
_FIGURE = Check(remembering(_is_figure), "a figure counted on beat 1, like 1 e a")
_ADDED = {
    one.name: one.default
    for one in (*fields(Answer), *fields(Round), *fields(Exam), *fields(Take))
    if one.name in _SINCE_FORMAT_2
}
_NAME = Check(_is_name, "a name of 1 to 40 characters")
_FIGURES = Check(
    lambda value: isinstance(value, list) and len(value) <= MOST_FIGURES and all(map(_FIGURE.fits, value)),
    "a list of figures counted on beat 1",
)
_COUNT = whole(0, MANY)
_MANY_HEARINGS = whole(0, 10_000)

_OWNER = {"uuid": _UUID, "name": _NAME, "kind": one_of(*PLAYER_KINDS)}
_ANSWER = {
    "at": TIME,
    "level": text(1000),
    "meter": one_of(*METERS),
    "bar": text(400),
    "beat": whole(0, 11),
    "heard": _FIGURE,
    "said": optional(_FIGURE),
    "seconds": optional(number(0, MANY)),
    "orchestration": text(200),
    "tempo": number(1, 1000),
    "hearings": _MANY_HEARINGS,
    "kind": one_of(*KINDS),
    "share": number(0, 1),
    "choices": _FIGURES,
    "met": _FIGURES,
    "attempt": whole(1, 100),
    "unsure": SWITCH,
    "changes": _MANY_HEARINGS,
    "alone": _MANY_HEARINGS,
    "slower": _MANY_HEARINGS,
    "reason": text(200, shortest=0),
    "probability": optional(number(0, 1)),
    "ability": one_of(*ABILITIES),
}
_LOGGED = {"question": _UUID, "place": whole(0, 10_000), **_ANSWER}
_ROUND = {
    "level": text(1000),
    "started": TIME,
    "finished": TIME,
    "beats": _COUNT,
    "right": _COUNT,
    "hearings": _COUNT,
    "score": whole(-MANY, MANY),
    "bars": _COUNT,
    "tries": whole(1, 100),
    "rule": whole(1, 100),
}
_EXAM = {
    "uuid": _UUID,
    "level": text(1000),
    "started": TIME,
    "finished": optional(TIME),
    # A running exam is never exported: it could be sat on at two machines.
    "state": one_of("finished", "interrupted"),
    "mark": optional(number(0, 1)),
    "rules": TABLE,
    "detail": ANYTHING,
    "forecast": ANYTHING,
}
_STROKE = (number(-MANY, MANY), optional(one_of("R", "L")), text(100), number(0, 1))
_TIMING = (text(100), whole(1, MANY), number(-MANY, MANY), number(0, MANY))


def _rows_of(checks: Sequence[Check]) -> Callable[[object], bool]:
    """Whether something is a list of rows, each entry of which fits its check."""

    def fits(value: object) -> bool:
        return isinstance(value, list) and all(
            isinstance(row, list)
            and len(row) == len(checks)
            and all(check.fits(part) for check, part in zip(checks, row, strict=True))
            for row in value
        )

    return fits


_TAKE = {
    "uuid": _UUID,
    "at": TIME,
    "question": optional(_UUID),
    "source": text(200),
    "tempo": number(1, 1000),
    "strokes": Check(_rows_of(_STROKE), "a list of [seconds, hand, drum, velocity]"),
    "timing": Check(_rows_of(_TIMING), "a list of [place or hand, strokes, sum of deviations, sum of squares]"),
}


_FILL = {
    "name": _NAME,
    "count": text(1000, shortest=0),
    "fill": ANYTHING,
    "setting": TABLE,
}
_RIDDLE = {
    "uuid": _UUID,
    "mine": SWITCH,
    "other": _NAME,
    "other_uuid": _UUID,
    "name": _NAME,
    "at": TIME,
    "fill": ANYTHING,
    "setting": TABLE,
    "beats": whole(1, MANY_BEATS),
    "answered": optional(TIME),
    "right": optional(whole(0, MANY_BEATS)),
    "said": _FIGURES,
}


def header_line(owner: Owner) -> str:
    """The first line of a history file."""
    return _line({"drumlin": "history", "format": FORMAT, "player": vars(owner)})


def answer_line(logged: Logged) -> str:
    """One answer as a line."""
    return _line({"answer": {"question": logged.question, "place": logged.place, **_told(logged.answer)}})


def round_line(uuid: str, finished: Round) -> str:
    """One round as a line."""
    return _line({"round": {"uuid": uuid, **_told(finished)}})


def exam_line(exam: Exam) -> str:
    """One exam as a line."""
    return _line({"exam": _told(exam)})


def take_line(take: Take) -> str:
    """One take as a line."""
    return _line({"take": _told(take)})


def fill_line(fill: KeptFill) -> str:
    """One fill as a line; of one that can't be read only its count."""
    # Written whole, a fill that can't be read would keep the file from ever being brought in again.
    return _line({"fill": vars(fill) | {"fill": fill.fill if _unread(fill.fill) == "" else None}})


def riddle_line(shared: SharedRiddle) -> str:
    """One riddle as a line."""
    riddle, mine, uuid = shared
    told = vars(riddle) | {"mine": mine, "other": riddle.player if mine else riddle.asker, "other_uuid": uuid}
    return _line({"riddle": {name: told[name] for name in _RIDDLE}})


def _told(thing: Answer | Round | Exam | Take) -> dict[str, Any]:
    """The fields of a thing, those of ``_ADDED`` only where they are not as usual: it keeps files small."""
    return {name: value for name, value in vars(thing).items() if name not in _ADDED or value != _ADDED[name]}


# Letters as they are, so that names can be read in the file; NaN is no JSON, and we would refuse it ourselves.
_encoder = json.JSONEncoder(ensure_ascii=False, allow_nan=False)


def _line(value: object) -> str:
    return _encoder.encode(value) + "\n"


def read_header(line: bytes) -> Owner:
    """Whose history the file is.  Raises ``LineError`` where the line is no header that can be read here."""
    value = _value(line)
    if value.get("drumlin") != "history":
        raise LineError('this is no history of Drumlin; its first line begins {"drumlin": "history", ...')
    if value.get("format") not in READ:
        found = str(value.get("format"))[:20]
        raise LineError(f"format {found} can't be read here; this Drumlin reads up to {FORMAT}: look for a later one")
    return Owner(**_fields(_OWNER, value.get("player"), "player"))


def read_line(line: bytes) -> Item:
    """One thing of a history; a round with its UUID.  Raises ``LineError`` that names every field that won't do."""
    value = _value(line)
    for name, read in _READERS.items():
        if name in value:
            return read(value[name])
    raise LineError(f"neither answer, round, exam, take, fill nor riddle: {', '.join(value)[:60] or 'an empty table'}")


def _read_answer(value: Any) -> Logged:
    found = _fields(_LOGGED, value, "answer")
    # Sound field by field, an answer may still be to a beat that its bar does not have.
    beats = _beats_of(found["bar"], found["meter"])
    if beats is None:
        raise LineError(f"bar is {found['bar'][:40]!r}; use a bar of {found['meter']}, counted like 1 e a 2 & 3 4")
    if found["beat"] >= beats:
        raise LineError(f"beat is {found['beat']}; a bar of {found['meter']} has the beats 0 to {beats - 1}")
    for name in ("choices", "met"):
        if name in found:
            found[name] = tuple(found[name])
    return Logged(found.pop("question"), found.pop("place"), answer_of(found))


def _read_round(value: Any) -> tuple[str, Round]:
    found = _fields({"uuid": _UUID, **_ROUND}, value, "round")
    return found.pop("uuid"), Round(**found)


def _read_exam(value: Any) -> Exam:
    return Exam(**_fields(_EXAM, value, "exam"))


def _read_take(value: Any) -> Take:
    found = _fields(_TAKE, value, "take")
    strokes = tuple(PlayedStroke(*stroke) for stroke in found["strokes"])
    timing = tuple(PlaceTiming(*one) for one in found.get("timing", ()))
    return Take(**found | {"strokes": strokes, "timing": timing})


def _read_fill(value: Any) -> KeptFill:
    found = _fields(_FILL, value, "fill")
    # A bar that an earlier Drumlin kept is told by its count alone.
    if found["fill"] is not None and (fault := _unread(found["fill"])):
        raise LineError(fault)
    return KeptFill(**found)


def _read_riddle(value: Any) -> SharedRiddle:
    found = _fields(_RIDDLE, value, "riddle")
    if fault := _unread(found["fill"]):
        raise LineError(fault)
    other, uuid, mine = found.pop("other"), found.pop("other_uuid"), found.pop("mine")
    names = {"asker": "", "player": other} if mine else {"asker": other, "player": ""}
    return SharedRiddle(Riddle(**found | names | {"said": tuple(found["said"])}), mine, uuid)


def _unread(fill: Any) -> str:
    """Why a fill can't be read, or nothing."""
    try:
        from_values(fill)
    except FillError as error:
        return str(error)
    return ""


_READERS: dict[str, Callable[[Any], Item]] = {
    # Answers first, of which nearly every line is one.
    "answer": _read_answer,
    "round": _read_round,
    "exam": _read_exam,
    "take": _read_take,
    "fill": _read_fill,
    "riddle": _read_riddle,
}


DATABASE = b"SQLite format 3\0"
"""How every database file begins (SQLite, "Database File Format", section 1.3)."""


def _value(line: bytes) -> dict[str, Any]:
    if line.startswith(DATABASE):
        raise LineError("a records file or a backup, no history file; use `drumlin history restore`")
    try:
        value = _decoder.decode(line.decode("utf-8"))
    except UnicodeDecodeError:
        raise LineError("not UTF-8; save the file as UTF-8") from None
    except (ValueError, RecursionError):
        raise LineError("not JSON; a line holds one {...}") from None
    if not isinstance(value, dict):
        raise LineError("not a table; a line holds one {...}")
    return value


def _no_number(word: str) -> float:
    # Python's decoder would take NaN and Infinity, which are no JSON.
    raise ValueError(word)


_decoder = json.JSONDecoder(parse_constant=_no_number)


def _fields(checks: Mapping[str, Check], value: Any, what: str) -> dict[str, Any]:
    """The checked fields that are there, and no others; only those that format 1 lacked may be absent."""
    if not isinstance(value, dict):
        raise LineError(f"{what} is no table; it needs {', '.join(checks)}")
    found = {name: value[name] for name in checks if name in value}
    # Most lines lack nothing: the list of missing fields is made only where one is.
    if len(found) < len(checks) and (missing := [one for one in checks if one not in value and one not in _ADDED]):
        faults = [f"{what} lacks {', '.join(missing)}"]
    else:
        faults = []
    faults += [checks[name].told(name, one) for name, one in found.items() if not checks[name].fits(one)]
    if faults:
        raise LineError("; ".join(faults))
    return found
