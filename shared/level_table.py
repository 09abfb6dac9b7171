"""A level as a value, and the reader that checks a TOML table and makes a level of it.

Every fault is reported, not the first alone, each with its address, the value found and the values that would do.
"""

import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import reduce
from typing import Any

from shared.bars import METERS, Meter
from shared.counting import CountError, as_shown, parse_figure, words_shown
from shared.figures import Figure
from shared.level_faults import Address, Fault, LevelError, brief, nearest
from shared.level_keys import KEYS, TOP_KEYS, LevelKey, inside
from shared.orchestration import ORCHESTRATIONS
from shared.spelling import SpellingError, spelling_from_code

FORMAT = 1


@dataclass(frozen=True)
class Tempo:
    """The slowest and fastest tempo of a level, in beats a minute."""

    low: float = 60
    high: float = 100


@dataclass(frozen=True)
class ExamRules:
    """The rules of a mock exam: bars asked, hearings of each, bars to be played, and marks as shares of the beats."""

    questions: int = 10
    hearings: int = 2
    pass_mark: float = 0.7
    merit_mark: float = 0.8
    distinction_mark: float = 0.9
    playing: int = 0


@dataclass(frozen=True)
class Level:
    """A level: its figures in a fixed order and the ways they are played.

    ``new`` are the figures introduced here; ``order`` those whose order of being met is settled, in that order;
    ``groove_bars`` the numbers of groove bars to choose from; ``spelling`` the codes of figures spelled otherwise
    than usual; ``words`` memory words; ``count`` the words that are shown for those of the count. Two levels that
    differ in their memory words alone are equal: nothing that is asked depends on them.
    """

    name: str
    title: str
    meter: Meter
    figures: tuple[Figure, ...]
    about: str = ""
    new: tuple[Figure, ...] = ()
    order: tuple[Figure, ...] = ()
    orchestrations: tuple[str, ...] = ("snare",)
    groove_bars: tuple[int, ...] = (0,)
    tempo: Tempo = Tempo()
    exam: ExamRules = ExamRules()
    # A dictionary can't be hashed, and levels are keys of caches.  Spellings still count when levels are compared.
    spelling: dict[Figure, str] = field(default_factory=dict, hash=False)
    words: dict[Figure, str] = field(default_factory=dict, compare=False)
    count: str = ""

    @property
    def shown(self) -> tuple[tuple[str, str], ...]:
        """The words of the count that this level shows otherwise, each with what is shown."""
        return words_shown(self.count)

    def as_shown(self, count: str) -> str:
        """A count in the words of this level."""
        return as_shown(count, self.shown)

    def named(self, figure: Figure, beat: int = 1) -> str:
        """The count of a figure on a beat, from 1, in the words of this level."""
        return self.as_shown(figure.count_on(beat))

    def counted_in(self, count: str) -> "Level":
        """The level with other words shown for those of the count; with its own where ``count`` is empty."""
        return replace(self, count=count) if count else self


def value_of(level: Level, place: str) -> Any:
    """The value that a level has at a place of ``KEYS``, such as ``exam.pass_mark``."""
    return reduce(getattr, place.split("."), level)


def read_level(table: dict[str, Any], name: str, file: str, words: Mapping[Figure, str]) -> Level:
    """Make a level of a TOML table.

    ``file`` is named in the faults; ``words`` are the memory words that figures have unless the
    level gives them others.  Raises ``LevelError`` with every fault.
    """
    reader = _TableReader(table, file, words)
    level = reader.level(name)
    if reader.faults or level is None:
        raise LevelError(reader.faults)
    return level


class _TableReader:
    """Reads a table key by key and collects what is wrong with it."""

    def __init__(self, table: dict[str, Any], file: str, words: Mapping[Figure, str]) -> None:
        self.table = table
        self.file = file
        self.plain_words = words
        self.faults: list[Fault] = []

    def level(self, name: str) -> Level | None:
        self.unknown_keys(self.table, TOP_KEYS, ())
        self.format()
        meter = self.meter()
        # Meter and figures first, since most other keys are checked against them.
        figures = self.figures(meter)
        level = Level(
            name=name,
            title=self.text("title"),
            # A stand-in, so that the other keys can be checked too; a level with faults is never handed out.
            meter=meter or METERS["4/4"],
            figures=figures,
            about=self.text("about"),
            new=self.some("new", meter, figures),
            order=self.some("order", meter, figures),
            orchestrations=self.orchestrations(),
            groove_bars=self.groove_bars(),
            tempo=self.tempo(),
            exam=self.exam(),
            spelling=self.figure_table("spelling", meter, figures, self.spelling_code),
            words=self.words(meter, figures),
            count=self.count_words(),
        )
        return None if self.faults else level

    def fault(self, address: Address, found: object, wanted: str) -> None:
        self.say(address, f"found {brief(found)}", wanted)

    def say(self, address: Address, found: str, wanted: str) -> None:
        self.faults.append(Fault(self.file, address, found, wanted))

    def unknown_keys(self, table: dict[str, Any], known: tuple[str, ...], above: Address) -> None:
        for key in table:
            if key not in known:
                hint = nearest(key, known)
                self.say((*above, key), f"unknown key{hint}", f"the keys are {', '.join(sorted(known))}")

    def format(self) -> None:
        found = self.table.get("format")
        if not _is_int(found) or found != FORMAT:
            self.fault(("format",), found, f"write format = {FORMAT}")

    def text(self, key: str) -> str:
        told = KEYS[key]
        found = self.table.get(key, None if told.needed else "")
        if isinstance(found, str) and _is_line(found, told) and (found.strip() or not told.needed):
            return found
        self.fault((key,), found, f"write a text of {int(told.needed)} to {told.high:g} characters, in one line")
        return ""

    def meter(self) -> Meter | None:
        found = self.table.get("meter")
        if isinstance(found, str) and found in METERS:
            return METERS[found]
        self.fault(("meter",), found, f"choose from {', '.join(METERS)}")
        return None

    def counts(self, key: str, meter: Meter | None) -> list[tuple[int, Figure]]:
        """The readable figures of a list of counts, with their places from 1."""
        found = self.table.get(key, None if KEYS[key].needed else [])
        if not isinstance(found, list):
            self.fault((key,), found, 'write a list of counts, such as ["1", "1 e a"]')
            return []
        read = []
        # A level holds 24 figures: of a list of thousands, the first faults say enough.
        for place, count in enumerate(found[:200], 1):
            figure = self.figure((key, place), count, meter)
            if figure is not None:
                read.append((place, figure))
        return read

    def figure(self, address: Address, count: object, meter: Meter | None) -> Figure | None:
        if not isinstance(count, str):
            self.fault(address, count, 'write a count in quotes, such as "1 e a"')
            return None
        try:
            return parse_figure(count, meter.compound if meter else None)
        except CountError as error:
            self.fault(address, count, str(error))
            return None

    def figures(self, meter: Meter | None) -> tuple[Figure, ...]:
        first: dict[Figure, int] = {}
        written = self.table.get("figures")
        for place, figure in self.counts("figures", meter):
            if figure in first:
                one, other = written[first[figure] - 1], written[place - 1]  # type: ignore[index]
                self.say(
                    ("figures", place),
                    f"{brief(other)} and figures[{first[figure]}]: {brief(one)} sound the same ({figure.count}) "
                    "and can't be told apart by ear",
                    "keep one, and choose its look in [spelling]",
                )
            else:
                first[figure] = place
        low, high = KEYS["figures"].low, KEYS["figures"].high
        if isinstance(written, list) and not low <= len(written) <= high:
            self.fault(("figures",), written, f"a level holds {low:g} to {high:g} figures")
        return tuple(first)

    def some(self, key: str, meter: Meter | None, figures: tuple[Figure, ...]) -> tuple[Figure, ...]:
        """A list of some of the level's figures, each once."""
        first: dict[Figure, int] = {}
        for place, figure in self.counts(key, meter):
            if figure not in figures:
                self.fault((key, place), figure.count, "name only figures that stand in figures")
            # Twice among the new ones changes nothing; twice in an order says two things at once.
            elif figure in first and key == "order":
                self.fault((key, place), figure.count, f"it stands in {key}[{first[figure]}] already; name it once")
            first.setdefault(figure, place)
        return tuple(first)

    def orchestrations(self) -> tuple[str, ...]:
        found = self.table.get("orchestrations", ["snare"])
        if not isinstance(found, list) or not found:
            self.fault(("orchestrations",), found, f"write a list of one or more of {', '.join(ORCHESTRATIONS)}")
            return ()
        for place, name in enumerate(found, 1):
            if not isinstance(name, str) or name not in ORCHESTRATIONS:
                hint = nearest(name, tuple(ORCHESTRATIONS)) if isinstance(name, str) else ""
                self.fault(("orchestrations", place), name, f"choose from {', '.join(ORCHESTRATIONS)}{hint}")
        return tuple(dict.fromkeys(name for name in found if isinstance(name, str)))

    def groove_bars(self) -> tuple[int, ...]:
        found = self.table.get("groove_bars", [0])
        numbers = [found] if _is_int(found) else found
        most = KEYS["groove_bars"].high
        if not isinstance(numbers, list) or not numbers:
            self.fault(("groove_bars",), found, f"write a number from 0 to {most:g}, or a list of such numbers")
            return ()
        wrong = [place for place, n in enumerate(numbers, 1) if not (_is_int(n) and 0 <= n <= most)]
        for place in wrong:
            address: Address = ("groove_bars", place) if numbers is found else ("groove_bars",)
            self.fault(address, numbers[place - 1], f"write a number from 0 to {most:g}")
        return () if wrong else tuple(dict.fromkeys(numbers))

    def tempo(self) -> Tempo:
        tempo = Tempo(**self.numbers("tempo", Tempo()))
        if tempo.low > tempo.high:
            found = f"found low {tempo.low:g} above high {tempo.high:g}"
            self.say(("tempo",), found, "write the slower tempo as low")
        return tempo

    def exam(self) -> ExamRules:
        before = len(self.faults)
        exam = ExamRules(**self.numbers("exam", ExamRules()))
        marks = [exam.pass_mark, exam.merit_mark, exam.distinction_mark]
        # A mark that is wrong by itself was replaced by its default, whose order would be no fault of the writer.
        if marks != sorted(marks) and len(self.faults) == before:
            found = ", ".join(f"{mark:g}" for mark in marks)
            self.say(("exam",), f"found marks {found}", "let pass, merit and distinction rise")
        return exam

    def numbers(self, key: str, plain: object) -> dict[str, Any]:
        """The numbers of a table within the level's, those of ``plain`` where none are written."""
        known = inside(key)
        table = self.table.get(key, {})
        if not isinstance(table, dict):
            self.fault((key,), table, f"write a table with {', '.join(known)}")
            table = {}
        self.unknown_keys(table, known, (key,))
        return {name: self.number(table, key, name, getattr(plain, name)) for name in known}

    def number(self, table: dict[str, Any], key: str, name: str, default: float) -> int | float:
        told, found = KEYS[f"{key}.{name}"], table.get(name, default)
        right_kind = _is_int(found) if told.whole else _is_int(found) or isinstance(found, float)
        if right_kind and told.low <= found <= told.high:
            return int(found) if told.whole else float(found)
        whole = "whole " if told.whole else ""
        self.fault((key, name), found, f"write a {whole}number from {told.low:g} to {told.high:g}")
        return default

    def figure_table(
        self,
        key: str,
        meter: Meter | None,
        figures: tuple[Figure, ...],
        check: Callable[[Address, object, Figure], str | None],
    ) -> dict[Figure, str]:
        """A table from counts to texts, such as ``[words]``."""
        found = self.table.get(key, {})
        if not isinstance(found, dict):
            self.fault((key,), found, 'write a table, such as "1 e a" = "…"')
            return {}
        return dict(self.figure_rows(key, found, meter, figures, check))

    def figure_rows(
        self,
        key: str,
        found: dict[str, Any],
        meter: Meter | None,
        figures: tuple[Figure, ...],
        check: Callable[[Address, object, Figure], str | None],
    ) -> Iterator[tuple[Figure, str]]:
        for count, text in found.items():
            figure = self.figure((key, count), count, meter)
            if figure is None:
                continue
            if figure not in figures:
                self.fault((key, count), count, "name only figures that stand in figures")
            checked = check((key, count), text, figure)
            if checked is not None:
                yield figure, checked

    def spelling_code(self, address: Address, code: object, figure: Figure) -> str | None:
        try:
            # What is no text fails as any other wrong code does, with the ways to write the figure in its message.
            return spelling_from_code(str(code), figure).code
        except SpellingError as error:
            self.fault(address, code, str(error))
            return None

    def words(self, meter: Meter | None, figures: tuple[Figure, ...]) -> dict[Figure, str]:
        words = {figure: self.plain_words[figure] for figure in figures if figure in self.plain_words}
        return words | self.figure_table("words", meter, figures, self.word)

    def count_words(self) -> str:
        text = self.text("count")
        try:
            words_shown(text)
        except CountError as error:
            self.fault(("count",), text, str(error))
            return ""
        return text

    def word(self, address: Address, word: object, _: Figure) -> str | None:
        if isinstance(word, str) and _is_line(word, KEYS["words"]):
            return word
        self.fault(address, word, f"write a text of at most {KEYS['words'].high:g} characters, in one line")
        return None


def _is_line(text: str, told: LevelKey) -> bool:
    """Whether a text is no longer than its key allows, and can be shown in one line."""
    return len(text) <= told.high and all(c.isprintable() or unicodedata.category(c) == "Zs" for c in text)


def _is_int(found: object) -> bool:
    # To Python true is a whole number, to whoever writes a level it is not.
    return isinstance(found, int) and not isinstance(found, bool)
