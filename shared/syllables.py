"""The syllables that are spoken for a figure in four counting systems.

Takadimi: Hoffman, Pelto & White, "Takadimi: A Beat-Oriented System of Rhythm Pedagogy" (1996).
French time names after the Galin-Paris-Chevé tradition.  Kodály-style syllables: common practice.
Schools differ, most of all below the semiquaver.
"""

from collections.abc import Callable

from shared.figures import Figure

# By the number of places of the beat, with a syllable for each place.
_TAKADIMI = {3: "ta ki da", 4: "ta ka di mi", 6: "ta va ki di da ma", 8: "ta ka di mi ta ka di mi"}
_FRENCH = {3: "ta té ti", 4: "ta fa té fé", 6: "ta fa té fé ti fi", 8: "ta na fa na té né fé né"}
_TRIPLET = ("tri", "o", "la")
# Keyed by length in semiquavers; a stroke shorter than a quaver is ti or ka by its place.
_SIMPLE_LENGTHS = {2: "ti", 3: "tim", 4: "ta"}
# No single note lasts five semiquavers: such a stroke is said as one of four.
_COMPOUND_LENGTHS = {2: "ti", 3: "tim", 4: "ta", 5: "ta", 6: "tai"}


def takadimi(figure: Figure) -> str:
    """The Takadimi syllables of the strokes, such as ``ta ka mi``; empty for a rest."""
    return _picked(figure, _TAKADIMI)


def french(figure: Figure) -> str:
    """The French time names of the strokes, such as ``ta fa fé``; empty for a rest."""
    return _picked(figure, _FRENCH)


def kodaly(figure: Figure) -> str:
    """Kodály-style rhythm syllables, such as ``ka ti ka``.

    A silence before the first stroke is ``(s)``, a silent beat ``(sh)``.  Empty for
    demisemiquavers, for which the schools share no syllables.
    """
    if figure.is_rest:
        return "(sh)"
    if figure.grid.name == "triplet":
        spoken = [_TRIPLET[slot] for slot in figure.slots]
    elif figure.grid.divisions == 8:
        return ""
    else:
        spoken = _by_length(figure)
    silence = ["(s)"] if figure.slots[0] > 0 else []
    return " ".join([*silence, *spoken])


def number(figure: Figure) -> str:
    """The count in numbers, such as ``1 e a``."""
    return figure.count


def _picked(figure: Figure, table: dict[int, str]) -> str:
    names = table[figure.grid.divisions].split()
    return " ".join(names[slot] for slot in figure.slots)


def _by_length(figure: Figure) -> list[str]:
    """Name each stroke by how long it lasts; two short strokes in a row from a strong place are ``ti ka``."""
    slots, divisions = _fine_slots(figure)
    lengths = [after - slot for slot, after in zip(slots, [*slots[1:], divisions], strict=True)]
    names = _COMPOUND_LENGTHS if divisions == 6 else _SIMPLE_LENGTHS
    spoken = []
    for k, (slot, length) in enumerate(zip(slots, lengths, strict=True)):
        opens_pair = slot % 2 == 0 and lengths[k + 1 : k + 2] == [1]
        spoken.append(names.get(length, "ti" if opens_pair else "ka"))
    return spoken


def _fine_slots(figure: Figure) -> tuple[tuple[int, ...], int]:
    """Slots counted in semiquavers of the beat, and how many there are."""
    # The tables of lengths count semiquavers; a third of a compound beat is a quaver, two of them.
    step = 2 if figure.grid.divisions == 3 else 1
    return tuple(slot * step for slot in figure.slots), figure.grid.divisions * step


SYSTEMS: dict[str, Callable[[Figure], str]] = {
    "number": number,
    "takadimi": takadimi,
    "kodaly": kodaly,
    "french": french,
}
"""The counting systems a player can choose from, by name."""

SYSTEM_NAMES = {"number": "Count", "takadimi": "Takadimi", "kodaly": "Kodály", "french": "French"}
"""How each is called where its syllables are shown."""
