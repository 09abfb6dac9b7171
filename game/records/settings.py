"""The settings: what each is by default, what it may be, and whether it goes with the player or the machine."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field, fields
from typing import Any

Check = tuple[Callable[[Any], bool], str]
"""Whether a value will do, and what would, in words."""


def _one_of(*words: str) -> Check:
    return (lambda value: value in words and isinstance(value, str)), "one of " + ", ".join(words)


def _number(low: float, high: float) -> Check:
    def fits(value: Any) -> bool:
        return isinstance(value, int | float) and not isinstance(value, bool) and low <= value <= high

    return fits, f"a number from {low:g} to {high:g}"


def _text(value: Any) -> bool:
    return isinstance(value, str) and len(value) <= 1000 and value.isprintable()


def _texts(value: Any) -> bool:
    return isinstance(value, dict) and len(value) <= 200 and all(map(_text, [*value, *value.values()]))


_SWITCH: Check = (lambda value: isinstance(value, bool)), "true or false"
_TEXT: Check = _text, "a short text"
_TEXTS: Check = _texts, "a table of short texts"


def _own(default: Any, check: Check) -> Any:
    return field(default=default, metadata={"check": check, "machine": False})


def _shared(default: Any, check: Check) -> Any:
    return field(default=default, metadata={"check": check, "machine": True})


@dataclass(frozen=True)
class Settings:
    """All settings of one player at one machine.

    ``type_size`` is in per cent, ``volume`` in decibels below full, ``calibration`` in milliseconds by which the
    sound is late; ``words`` are the player's memory words by figure count, ``keys`` the keys by act.
    ``notices`` says what was found unusable and left at its default; it is not kept.
    """

    theme: str = _own("light", _one_of("light", "dark", "projector"))
    type_size: int = _own(100, _number(75, 250))
    reduced_motion: bool = _own(False, _SWITCH)
    hand: str = _own("R", _one_of("R", "L"))
    sticking: str = _own("natural", _one_of("natural", "alternating"))
    terms: str = _own("uk", _one_of("uk", "us"))
    count_system: str = _own("number", _one_of("number", "takadimi", "kodaly", "french"))
    show_words: bool = _own(True, _SWITCH)
    words: Mapping[str, str] = field(default_factory=dict, metadata={"check": _TEXTS, "machine": False})
    keys: Mapping[str, str] = field(default_factory=dict, metadata={"check": _TEXTS, "machine": False})
    level: str = _own("stage-1", _TEXT)
    kit: str = _own("practice", _TEXT)
    volume: float = _shared(-12.0, _number(-60, 0))
    calibration: float = _shared(0.0, _number(-500, 500))
    full_screen: bool = _shared(False, _SWITCH)
    first_start_done: bool = _shared(False, _SWITCH)
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
        fits, wanted = one.metadata["check"]
        if fits(values[name]):
            good[name] = values[name]
        else:
            notices.append(f"The setting {name} is {str(values[name])[:40]!r}; wanted {wanted}. The usual one is used.")
    return Settings(**good, notices=tuple(notices))


def faults_of(settings: Settings) -> list[str]:
    """What is wrong with settings before they are kept: one line for each fault."""
    return [
        f"{name} is {str(value)[:40]!r}; use {one.metadata['check'][1]}"
        for name, one in _KEPT.items()
        if not one.metadata["check"][0](value := getattr(settings, name))
    ]


def values_of(settings: Settings) -> dict[str, Any]:
    """The settings as plain values by key."""
    return {name: getattr(settings, name) for name in _KEPT}
