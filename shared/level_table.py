"""What a level is, and how a table of TOML is checked and made into one.

Every fault is reported, each with its place, what was found and what would do.
"""

import difflib
import unicodedata
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any

from shared.bars import METERS, Meter
from shared.counting import CountError, parse_figure
from shared.figures import Figure
from shared.orchestration import MOST_GROOVE_BARS, ORCHESTRATIONS
from shared.passages import FASTEST, SLOWEST
from shared.spelling import SpellingError, spelling_from_code

FORMAT = 1
FEWEST, MOST = 2, 24
"""How many figures a level holds: two to tell apart, and no more than can all be seen."""


class LevelError(ValueError):
    """Level files that cannot be used.  ``faults`` has one line for each fault."""

    def __init__(self, faults: list[str]) -> None:
        super().__init__("\n".join(faults))
        self.faults = tuple(faults)


@dataclass(frozen=True)
class Tempo:
    """The slowest and fastest tempo of a level, in beats a minute."""

    low: float = 60
    high: float = 100


@dataclass(frozen=True)
class Exam:
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
    than usual; ``words`` memory words, by which levels are not told apart.
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
    exam: Exam = Exam()
    spelling: dict[Figure, str] = field(default_factory=dict, hash=False)
    words: dict[Figure, str] = field(default_factory=dict, compare=False)


def read_level(table: dict[str, Any], name: str, file: str, words: Mapping[Figure, str]) -> Level:
    """Make a level of a TOML table.

    ``file`` is named in the faults; ``words`` are the memory words that figures have unless the
    level gives them others.  Raises ``LevelError`` listing every fault.
    """
    reader = _Reader(table, words)
    level = reader.level(name)
    if reader.faults or level is None:
        raise LevelError([f"{file}: {fault}" for fault in reader.faults])
    return level


class _Reader:
    """Reads a table key by key and collects what is wrong with it."""

    def __init__(self, table: dict[str, Any], words: Mapping[Figure, str]) -> None:
        self.table = table
        self.plain_words = words
        self.faults: list[str] = []

    def level(self, name: str) -> Level | None:
        known = (*(key for key in Level.__dataclass_fields__ if key != "name"), "format")
        self.unknown_keys(self.table, known, "")
        self.format()
        meter = self.meter()
        figures = self.figures(meter)
        level = Level(
            name=name,
            title=self.text("title", 60),
            meter=meter or METERS["4/4"],
            figures=figures,
            about=self.text("about", 400, ""),
            new=self.new(meter, figures),
            order=self.order(meter, figures),
            orchestrations=self.orchestrations(),
            groove_bars=self.groove_bars(),
            tempo=self.tempo(),
            exam=self.exam(),
            spelling=self.figure_table("spelling", meter, figures, self.spelling_code),
            words=self.words(meter, figures),
        )
        return None if self.faults else level

    def fault(self, place: str, found: object, wanted: str) -> None:
        self.faults.append(f"{place}: found {_brief(found)}; {wanted}")

    def unknown_keys(self, table: dict[str, Any], known: tuple[str, ...], inside: str) -> None:
        for key in table:
            if key not in known:
                hint = nearest(key, known)
                self.faults.append(
                    f"{inside}{_brief_key(key)}: unknown key{hint}; the keys are {', '.join(sorted(known))}"
                )

    def format(self) -> None:
        found = self.table.get("format")
        if not _is_int(found) or found != FORMAT:
            self.fault("format", _Missing if found is None else found, f"write format = {FORMAT}")

    def text(self, key: str, longest: int, default: str | None = None) -> str:
        found = self.table.get(key, _Missing if default is None else default)
        needed = default is None
        if isinstance(found, str) and len(found) <= longest and _is_line(found) and (found.strip() or not needed):
            return found
        self.fault(key, found, f"write a text of {int(needed)} to {longest} characters, in one line")
        return ""

    def meter(self) -> Meter | None:
        found = self.table.get("meter", _Missing)
        if isinstance(found, str) and found in METERS:
            return METERS[found]
        self.fault("meter", found, f"choose from {', '.join(METERS)}")
        return None

    def counts(self, key: str, meter: Meter | None, default: object) -> list[tuple[int, Figure]]:
        """The readable figures of a list of counts, with their places; without a meter none can be read."""
        found = self.table.get(key, default)
        if not isinstance(found, list):
            self.fault(key, found, 'write a list of counts, such as ["1", "1 e a"]')
            return []
        read = []
        for place, count in enumerate(found[:200]):
            figure = self.figure(f"{key}[{place}]", count, meter)
            if figure is not None:
                read.append((place, figure))
        return read

    def figure(self, place: str, count: object, meter: Meter | None) -> Figure | None:
        if not isinstance(count, str):
            self.fault(place, count, 'write a count in quotes, such as "1 e a"')
            return None
        try:
            return parse_figure(count, meter.compound if meter else None)
        except CountError as error:
            self.faults.append(f"{place}: found {_brief(count)}; {error}")
            return None

    def figures(self, meter: Meter | None) -> tuple[Figure, ...]:
        first: dict[Figure, int] = {}
        written = self.table.get("figures")
        for place, figure in self.counts("figures", meter, _Missing):
            if figure in first:
                one, other = written[first[figure]], written[place]  # type: ignore[index]
                self.faults.append(
                    f"figures[{place}]: {_brief(other)} and figures[{first[figure]}]: {_brief(one)} sound the same "
                    f"({figure.count}) and can't be told apart by ear; keep one, and choose its look in [spelling]"
                )
            else:
                first[figure] = place
        if isinstance(written, list) and not FEWEST <= len(written) <= MOST:
            self.fault("figures", written, f"a level holds {FEWEST} to {MOST} figures")
        return tuple(first)

    def new(self, meter: Meter | None, figures: tuple[Figure, ...]) -> tuple[Figure, ...]:
        new: dict[Figure, None] = {}
        for place, figure in self.counts("new", meter, []):
            if figure not in figures:
                self.fault(f"new[{place}]", figure.count, "name only figures that stand in figures")
            new[figure] = None
        return tuple(new)

    def order(self, meter: Meter | None, figures: tuple[Figure, ...]) -> tuple[Figure, ...]:
        first: dict[Figure, int] = {}
        for place, figure in self.counts("order", meter, []):
            if figure not in figures:
                self.fault(f"order[{place}]", figure.count, "name only figures that stand in figures")
            if figure in first:
                wanted = f"it stands in order[{first[figure]}] already; name it once"
                self.fault(f"order[{place}]", figure.count, wanted)
            first.setdefault(figure, place)
        return tuple(first)

    def orchestrations(self) -> tuple[str, ...]:
        found = self.table.get("orchestrations", ["snare"])
        if not isinstance(found, list) or not found:
            self.fault("orchestrations", found, f"write a list of one or more of {', '.join(ORCHESTRATIONS)}")
            return ()
        for place, name in enumerate(found):
            if not isinstance(name, str) or name not in ORCHESTRATIONS:
                hint = nearest(name, tuple(ORCHESTRATIONS)) if isinstance(name, str) else ""
                self.fault(f"orchestrations[{place}]", name, f"choose from {', '.join(ORCHESTRATIONS)}{hint}")
        return tuple(dict.fromkeys(name for name in found if isinstance(name, str)))

    def groove_bars(self) -> tuple[int, ...]:
        found = self.table.get("groove_bars", [0])
        numbers = [found] if _is_int(found) else found
        if not isinstance(numbers, list) or not numbers:
            self.fault("groove_bars", found, f"write a number from 0 to {MOST_GROOVE_BARS}, or a list of such numbers")
            return ()
        wrong = [place for place, n in enumerate(numbers) if not (_is_int(n) and 0 <= n <= MOST_GROOVE_BARS)]
        for place in wrong:
            name = "groove_bars" if numbers is not found else f"groove_bars[{place}]"
            self.fault(name, numbers[place], f"write a number from 0 to {MOST_GROOVE_BARS}")
        return () if wrong else tuple(dict.fromkeys(numbers))

    def tempo(self) -> Tempo:
        table = self.section("tempo", ("low", "high"))
        low, high = (
            self.number(table, f"tempo.{key}", SLOWEST, FASTEST, getattr(Tempo(), key)) for key in ("low", "high")
        )
        if low > high:
            self.faults.append(f"tempo: found low {low:g} above high {high:g}; write the slower tempo as low")
        return Tempo(low, high)

    def exam(self) -> Exam:
        table = self.section("exam", tuple(Exam.__dataclass_fields__))
        plain = Exam()
        before = len(self.faults)
        marks = [self.number(table, f"exam.{key}_mark", 0, 1, getattr(plain, f"{key}_mark")) for key in _BANDS]
        if marks != sorted(marks) and len(self.faults) == before:
            found = ", ".join(f"{mark:g}" for mark in marks)
            self.faults.append(f"exam: found marks {found}; let pass, merit and distinction rise")
        return Exam(
            questions=int(self.number(table, "exam.questions", 1, 100, plain.questions, whole=True)),
            hearings=int(self.number(table, "exam.hearings", 1, 10, plain.hearings, whole=True)),
            pass_mark=marks[0],
            merit_mark=marks[1],
            distinction_mark=marks[2],
            playing=int(self.number(table, "exam.playing", 0, 100, plain.playing, whole=True)),
        )

    def section(self, key: str, known: tuple[str, ...]) -> dict[str, Any]:
        found = self.table.get(key, {})
        if not isinstance(found, dict):
            self.fault(key, found, f"write a table with {', '.join(known)}")
            return {}
        self.unknown_keys(found, known, f"{key}.")
        return found

    def number(
        self, table: dict[str, Any], place: str, low: float, high: float, default: float, whole: bool = False
    ) -> float:
        found = table.get(place.rpartition(".")[2], default)
        right_kind = _is_int(found) if whole else _is_int(found) or isinstance(found, float)
        if right_kind and low <= found <= high:
            return float(found)
        self.fault(place, found, f"write a {'whole ' if whole else ''}number from {low:g} to {high:g}")
        return float(default)

    def figure_table(
        self,
        key: str,
        meter: Meter | None,
        figures: tuple[Figure, ...],
        check: Callable[[str, object, Figure], str | None],
    ) -> dict[Figure, str]:
        """A table from counts to texts, such as ``[words]``."""
        found = self.table.get(key, {})
        if not isinstance(found, dict):
            self.fault(key, found, 'write a table, such as "1 e a" = "…"')
            return {}
        return dict(self.figure_rows(key, found, meter, figures, check))

    def figure_rows(
        self,
        key: str,
        found: dict[str, Any],
        meter: Meter | None,
        figures: tuple[Figure, ...],
        check: Callable[[str, object, Figure], str | None],
    ) -> Iterator[tuple[Figure, str]]:
        for count, text in found.items():
            place = f"{key}.{_brief(count)}"
            figure = self.figure(place, count, meter)
            if figure is None:
                continue
            if figure not in figures:
                self.fault(place, count, "name only figures that stand in figures")
            checked = check(place, text, figure)
            if checked is not None:
                yield figure, checked

    def spelling_code(self, place: str, code: object, figure: Figure) -> str | None:
        try:
            return spelling_from_code(str(code), figure).code
        except SpellingError as error:
            self.fault(place, code, str(error))
            return None

    def words(self, meter: Meter | None, figures: tuple[Figure, ...]) -> dict[Figure, str]:
        words = {figure: self.plain_words[figure] for figure in figures if figure in self.plain_words}
        return words | self.figure_table("words", meter, figures, self.word)

    def word(self, place: str, word: object, _: Figure) -> str | None:
        if isinstance(word, str) and len(word) <= 40 and _is_line(word):
            return word
        self.fault(place, word, "write a text of at most 40 characters, in one line")
        return None


_BANDS = ("pass", "merit", "distinction")


class _Missing:
    """Stands for a key that is not there."""


def _is_line(text: str) -> bool:
    return all(c.isprintable() or unicodedata.category(c) == "Zs" for c in text)


def _is_int(found: object) -> bool:
    return isinstance(found, int) and not isinstance(found, bool)


def _brief(found: object) -> str:
    if found is _Missing:
        return "nothing"
    if isinstance(found, (dict, list)):
        return "a table" if isinstance(found, dict) else f"a list of {len(found)}"
    try:
        text = f'"{found}"' if isinstance(found, str) else str(found)
    except ValueError:
        text = "a huge number"
    text = "".join(c if c.isprintable() else "�" for c in text)
    return text if len(text) <= 40 else text[:39] + "…"


def _brief_key(key: str) -> str:
    return _brief(key).strip('"') or '""'


def nearest(name: str, known: tuple[str, ...]) -> str:
    """A hint at the known name that is most like ``name``, or nothing."""
    near = difflib.get_close_matches(name[:60], known, 1, 0.5)
    return f", did you mean {near[0]!r}?" if near else ""
