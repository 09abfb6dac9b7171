"""A level being edited: its values as they are typed, faults and all, and the level they make when there are none."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from typing import Any, TypeVar

from shared.bars import METERS
from shared.counting import CountError, parse_figure
from shared.figures import Figure
from shared.files import slug
from shared.level_faults import Address, Fault, LevelError
from shared.level_keys import KEYS, Kind
from shared.level_table import FORMAT, Level, read_level, value_of
from shared.levels import vocabulary
from shared.orchestration import MOST_GROOVE_BARS
from shared.spelling import SpellingError, spelling_from_code

PLACES = tuple(KEYS)
"""Every value of a level, as its faults name it."""

OWNERS = {"tempo": "tempo.low", "exam": "exam.pass_mark"}
"""Where a fault is shown that belongs to several values: tempi or marks that do not rise."""

WRITTEN = (Kind.TEXT, Kind.METER, Kind.FIGURES, Kind.NUMBER)
"""The kinds of value that a draft holds as text."""

Faults = dict[str, tuple[Fault, ...]]
Value = TypeVar("Value", str, int)


@dataclass(frozen=True)
class LevelDraft:
    """The values of a level for each place of ``PLACES``: texts as they were typed, choices as they were ticked.

    ``figures``, ``new`` and ``order`` are among the texts, as counts with commas between them; ``spelling`` and
    ``words`` go from counts to codes and to words.
    """

    name: str
    texts: Mapping[str, str]
    orchestrations: tuple[str, ...] = ()
    groove_bars: tuple[int, ...] = ()
    spelling: Mapping[str, str] = field(default_factory=dict)
    words: Mapping[str, str] = field(default_factory=dict)

    def with_text(self, place: str, text: str) -> "LevelDraft":
        """With another text in one place."""
        return replace(self, texts={**self.texts, place: text})

    def with_entry(self, table: str, figure: Figure, text: str) -> "LevelDraft":
        """With another spelling or word for a figure; an empty one is as usual."""
        kept = {count: value for count, value in getattr(self, table).items() if count != figure.count}
        if text:
            kept[figure.count] = text
        # Not replace(self, **{table: kept}): the names are spelled out so that the type checker knows them.
        return replace(self, spelling=kept) if table == "spelling" else replace(self, words=kept)

    def with_orchestration(self, name: str) -> "LevelDraft":
        """With an orchestration added, or taken away where it was."""
        return replace(self, orchestrations=_toggled(self.orchestrations, name))

    def with_groove(self, bars: int) -> "LevelDraft":
        """With a number of groove bars added, or taken away where it was."""
        return replace(self, groove_bars=_toggled(self.groove_bars, bars))

    def with_figure(self, place: str, figure: Figure) -> "LevelDraft":
        """With a figure added to ``figures``, ``new`` or ``order``, or taken away where it was.

        A new or ordered figure is always one of the figures.
        """
        if figure in self.listed(place):
            draft = self._without(place, figure)
            return draft._without("new", figure)._without("order", figure) if place == "figures" else draft
        draft = self._with(place, figure)
        return draft if place == "figures" or figure in draft.listed("figures") else draft._with("figures", figure)

    def _with(self, place: str, figure: Figure) -> "LevelDraft":
        return self.with_text(place, ", ".join([*_counts(self.texts[place]), figure.count]))

    def _without(self, place: str, figure: Figure) -> "LevelDraft":
        # Compared as figures: a teacher may have typed the same one another way, as "1 + 2" for "1 &".
        counts = [count for count in _counts(self.texts[place]) if self._figure(count) != figure]
        return self.with_text(place, ", ".join(counts))

    def listed(self, place: str) -> tuple[Figure, ...]:
        """The figures of ``figures``, ``new`` or ``order`` that can be read."""
        return tuple(dict.fromkeys(filter(None, map(self._figure, _counts(self.texts[place])))))

    @property
    def compound(self) -> bool:
        """Whether the meter is felt in dotted crotchets."""
        meter = METERS.get(self.texts["meter"])
        return meter is not None and meter.compound

    def _figure(self, count: str) -> Figure | None:
        return _read(count, self.compound)


# Every count of a draft is read at each key that is typed, and all but one are as they were.
@lru_cache(maxsize=256)
def _read(count: str, compound: bool) -> Figure | None:
    """The figure of a count; None where it can't be read."""
    try:
        return parse_figure(count, compound)
    except CountError:
        return None


def _toggled(values: tuple[Value, ...], value: Value) -> tuple[Value, ...]:
    kept = [one for one in values if one != value]
    if value not in values:
        kept.append(value)
    return tuple(kept)


def draft_of(level: Level) -> LevelDraft:
    """A level, to be edited."""
    # Only words that differ from the shipped ones are the level's own; the others are not to be written into its file.
    shipped = vocabulary().words
    texts = {place: _text(value_of(level, place)) for place, key in KEYS.items() if key.kind in WRITTEN}
    return LevelDraft(
        level.name, texts, level.orchestrations, level.groove_bars,
        {figure.count: code for figure, code in level.spelling.items()},
        {figure.count: word for figure, word in level.words.items() if shipped.get(figure) != word},
    )  # fmt: skip


def _text(value: Any) -> str:
    """A value as it is typed."""
    if isinstance(value, tuple):
        return ", ".join(figure.count for figure in value)
    return f"{value:g}" if isinstance(value, (int, float)) else str(value)


def checked(draft: LevelDraft) -> tuple[Level | None, Faults]:
    """The level that a draft makes, or None and every fault by the place that it belongs to."""
    try:
        # By the reader of level files itself: the editor can neither refuse what a file may hold nor let pass what it
        # may not.
        return read_level(_table(draft), draft.name, draft.name, vocabulary().words), {}
    except LevelError as error:
        found: dict[str, list[Fault]] = {}
        for fault in error.faults:
            found.setdefault(_owner(fault.address), []).append(fault)
        return None, {place: tuple(faults) for place, faults in found.items()}


def _table(draft: LevelDraft) -> dict[str, Any]:
    """The draft as a table of TOML.  What is kept for figures that were taken out is left out too."""
    table: dict[str, Any] = {"format": FORMAT}
    for place, key in KEYS.items():
        top, _, inner = place.partition(".")
        if inner:
            table.setdefault(top, {})[inner] = _value(draft.texts[place])
        else:
            table[top] = _values(draft, place, key.kind)
    return table


def _values(draft: LevelDraft, place: str, kind: Kind) -> object:
    if kind is Kind.FIGURES:
        return _counts(draft.texts[place])
    if kind in WRITTEN:
        return draft.texts[place]
    if kind is Kind.BY_FIGURE:
        # A word or spelling stays in the draft, for a figure that is ticked again, but not in the file.
        figures = {figure.count for figure in draft.listed("figures")}
        return {count: text for count, text in getattr(draft, place).items() if count in figures}
    return sorted(draft.groove_bars) if kind is Kind.GROOVES else list(draft.orchestrations)


def _counts(text: str) -> list[str]:
    return [count.strip() for count in text.split(",") if count.strip()]


def _value(text: str) -> int | float | str:
    """A number where the text is one, else the text itself, for the fault to show."""
    # Whole numbers first: the file is to say 10, not 10.0.
    for number in (int, float):
        try:
            return number(text.strip())
        except ValueError:
            continue
    return text


def _owner(address: Address) -> str:
    """The place of the draft at which a fault is shown."""
    key = str(address[0])
    place = ".".join(map(str, address[:2]))
    return place if place in KEYS else OWNERS.get(key, key)


def free_name(wanted: str, taken: Iterable[str]) -> str:
    """A level's name, as its file has it, that is not taken: plain letters, digits and hyphens."""
    plain = slug(wanted) or "level"
    known, number, name = set(taken), 2, plain
    while name in known:
        name, number = f"{plain}-{number}", number + 1
    return name


GROOVES = tuple((bars, {0: "None", 1: "1 bar"}.get(bars, f"{bars} bars")) for bars in range(MOST_GROOVE_BARS + 1))
"""The numbers of groove bars, with words."""


def short_value(draft: LevelDraft, place: str) -> str:
    """A value in a word or two, for the list of them; empty for a long text."""
    match KEYS[place].kind:
        case Kind.FIGURES:
            return str(len(draft.listed(place)))
        case Kind.GROOVES:
            return ", ".join(map(str, sorted(draft.groove_bars)))
        case Kind.ORCHESTRATIONS | Kind.BY_FIGURE:
            number = len(getattr(draft, place))
            return str(number) if number else ""
        case Kind.METER | Kind.NUMBER:
            return draft.texts[place][:8]
    return ""


def preview_level(draft: LevelDraft) -> Level:
    """A level for the picture beside the draft: its figures that can be read, with those spellings that can."""
    figures = draft.listed("figures")
    spelling = {}
    for figure in figures:
        try:
            spelling[figure] = spelling_from_code(draft.spelling.get(figure.count, ""), figure).code
        except SpellingError:
            continue
    # A meter that is being typed is mostly wrong: the picture stays up meanwhile.
    meter = METERS.get(draft.texts["meter"], METERS["4/4"])
    return Level("draft", "Draft", meter, figures, spelling=spelling)
