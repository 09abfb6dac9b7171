"""The settings: default and allowed values of each, and whether it goes with the player or the machine."""

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from game.records.checks import COUNT_WORDS, DAYS, SWITCH, TEXTS, Check, number, one_of, text, whole
from shared.names import TERMS
from shared.sticking import STICKINGS
from shared.swing import MOST_SWING, STRAIGHT
from shared.syllables import SYSTEMS


def _own(default: Any, check: Check) -> Any:
    return field(default=default, metadata={"check": check, "machine": False})


def _shared(default: Any, check: Check) -> Any:
    return field(default=default, metadata={"check": check, "machine": True})


@dataclass(frozen=True)
class Settings:
    """All settings of one player at one machine.

    ``type_size`` is in per cent, ``volume`` in decibels below full, ``calibration`` in milliseconds by which the
    sound is late; ``counting`` are the words shown for those of the count, as a level's ``count`` has them, and in
    its place where there are any; ``words`` are the player's memory words by figure count, ``keys`` the keys by act,
    ``beginnings`` how levels begin and ``exam_days`` when their exams are (ISO 8601), by level name, where that was
    chosen; ``swing`` is the part of a pair that its first stroke takes, in per cent.  ``ten_minutes`` plans a
    class's long lesson with as many bars as fit them.  ``hand_keys`` are the keys of the left hand and of the right,
    ``play_on`` the input that is played on, ``pads`` and ``microphone`` the names of devices (empty: the first, and
    the usual one), ``pad_hands`` the hand of each note.
    ``notices`` has a sentence for each unusable value that was left at its default; it is not kept.
    """

    theme: str = _own("light", one_of("light", "dark", "projector"))
    type_size: int = _own(100, whole(75, 250))
    reduced_motion: bool = _own(False, SWITCH)
    hand: str = _own("R", one_of("R", "L"))
    sticking: str = _own("natural", one_of(*STICKINGS))
    terms: str = _own("uk", one_of(*TERMS))
    count_system: str = _own("number", one_of(*SYSTEMS))
    counting: str = _own("", COUNT_WORDS)
    show_words: bool = _own(True, SWITCH)
    # Tables name a factory, since a dataclass takes no dictionary for a default.
    words: Mapping[str, str] = field(default_factory=dict, metadata={"check": TEXTS, "machine": False})
    keys: Mapping[str, str] = field(default_factory=dict, metadata={"check": TEXTS, "machine": False})
    level: str = _own("stage-1", text(1000))
    beginnings: Mapping[str, str] = field(default_factory=dict, metadata={"check": TEXTS, "machine": False})
    exam_days: Mapping[str, str] = field(default_factory=dict, metadata={"check": DAYS, "machine": False})
    kit: str = _own("practice", text(1000))
    room: str = _own("own", one_of("own", "dry", "room", "hall"))
    groove: str = _own("straight", one_of("straight", "varied"))
    feel: str = _own("off", one_of("off", "light", "loose"))
    swing: int = _own(STRAIGHT, whole(STRAIGHT, MOST_SWING))
    group: str = _own("", text(40, 0))
    answers_by: str = _own("room", one_of("room", "one beat", "2 teams", "3 teams", "4 teams"))
    each_beat: str = _own("one team", one_of("one team", "all teams", "one beat"))
    ten_minutes: bool = _own(False, SWITCH)
    teams: str = _own("Brook, Hill, Marsh, Dune", text(200))
    second_try: bool = _own(True, SWITCH)
    # F and J have raised marks, and nearly every keyboard reports the two when both are down (common practice, no
    # source).
    hand_keys: str = _own("fj", one_of("fj", "dk", "df", "jk"))
    # Devices and their delay stay with the machine: a pupil who goes to another one must not take them along.
    play_on: str = _shared("keys", one_of("keys", "pads", "microphone"))
    pads: str = _shared("", text(200, 0))
    pad_hands: Mapping[str, str] = field(default_factory=dict, metadata={"check": TEXTS, "machine": True})
    microphone: str = _shared("", text(200, 0))
    sound_mistakes: bool = _own(True, SWITCH)
    volume: float = _shared(-12.0, number(-60, 0))
    calibration: float = _shared(0.0, number(-500, 500))
    full_screen: bool = _shared(False, SWITCH)
    first_start_done: bool = _shared(False, SWITCH)
    notices: tuple[str, ...] = field(default=(), compare=False)


_KEPT = {one.name: one for one in fields(Settings) if one.name != "notices"}

MACHINE_KEYS = frozenset(name for name, one in _KEPT.items() if one.metadata["machine"])
"""The settings that go with the machine, whoever plays."""


def settings_from(values: Mapping[str, Any]) -> Settings:
    """Settings from kept values.  An unknown key is passed over; a bad value is left at its default, with a notice."""
    good: dict[str, Any] = {}
    notices = []
    for name, one in _KEPT.items():
        if name not in values:
            continue
        fault = one.metadata["check"].fault(name, values[name])
        # Named and left out, not refused all together: one bad value must not cost a player every other setting.
        if fault:
            notices.append(f"A setting can't be used: {fault}. The usual one holds.")
        else:
            good[name] = values[name]
    return Settings(**good, notices=tuple(notices))


def faults_of(settings: Settings) -> list[str]:
    """The faults of settings that are to be kept, one line each."""
    found = (one.metadata["check"].fault(name, getattr(settings, name)) for name, one in _KEPT.items())
    return [fault for fault in found if fault]


def values_of(settings: Settings) -> dict[str, Any]:
    """The settings as plain values by key."""
    return {name: getattr(settings, name) for name in _KEPT}
