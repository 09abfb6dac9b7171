"""The overview of pupils under their classes, which can be searched by a part of a name."""

from collections.abc import Sequence
from dataclasses import dataclass

from game.records import Player


@dataclass(frozen=True)
class Person:
    """A pupil or a class, the UUID of the class that a pupil belongs to, and when they last answered (epoch)."""

    player: Player
    group: str = ""
    last: float | None = None


@dataclass(frozen=True)
class Line:
    """A line of the overview: a person, or the heading over those without a class (None); ``inside`` a class or not."""

    person: Person | None
    inside: bool = False


def overview(people: Sequence[Person], find: str = "") -> list[Line]:
    """Each class with its pupils, by name; then those without a class.

    With ``find`` only those whose name holds it, whatever the letter case; a class that holds one of them stays.
    """
    wanted = find.strip().casefold()
    classes = sorted((one for one in people if one.player.kind == "class"), key=_name)
    pupils = sorted((one for one in people if one.player.kind == "player"), key=_name)
    lines: list[Line] = []
    for room in classes:
        members = [one for one in pupils if one.group == room.player.uuid]
        found = [one for one in members if wanted in _name(one)]
        if found or wanted in _name(room):
            # A class that was looked for is shown whole.
            shown = found or members
            lines += [Line(room), *(Line(one, inside=True) for one in shown)]
    # By the classes that are there: a pupil whose class was removed is one without a class, and must not vanish.
    known = {room.player.uuid for room in classes}
    alone = [one for one in pupils if one.group not in known and wanted in _name(one)]
    if alone and lines:
        lines.append(Line(None))
    return [*lines, *map(Line, alone)]


def members(people: Sequence[Person], room: Player) -> list[Person]:
    """The pupils of a class, by name."""
    return sorted((one for one in people if one.group == room.uuid and one.player.kind == "player"), key=_name)


def _name(person: Person) -> str:
    return person.player.name.casefold()
