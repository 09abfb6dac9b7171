"""The result of a mock exam as a page to print."""

from collections.abc import Callable, Sequence

from game.reports.sheet import SMALL, PrintedSheet
from game.sessions.exam.outlook import percent
from game.sessions.exam.playing_part import PlayingResult
from game.sessions.exam.result import BANDS, BeatResult, ExamResult
from game.sessions.lesson.summary import SHOWN_MIX_UPS
from game.wording import day_words, how_often
from shared.levels import Level

BAR = 14.0
"""The width of the column of the bars' numbers, in millimetres."""


def exam_report(result: ExamResult, player: str, level: Level, now: float, outlook: Sequence[str]) -> bytes:
    """A finished exam beat by beat, with the forecast's words, as the bytes of a PDF file."""
    sheet = PrintedSheet(f"Mock exam: {player}", f"{result.title}, {day_words(now)}")
    sheet.text(f"{percent(result.mark)}. {result.words()}", bold=True)
    # In beats, since a share of the beats can't be counted off in the table below.
    marks = ", ".join(f"{name} from {result.needed(rule)}" for name, rule in reversed(BANDS))
    sheet.text(f"By the level's marks, of {len(result.beats)} beats: {marks}.")
    if result.playing:
        sheet.text(result.playing.words())
    sheet.heading("What it means for the real day")
    for line in outlook:
        sheet.text(line)
    sheet.heading("Mixed up")
    for taken in result.mix_ups[:SHOWN_MIX_UPS]:
        sheet.taken(level, taken.heard, taken.said, how_often(taken.times))
    if not result.mix_ups:
        sheet.text("Nothing.")
    sheet.heading("Beat by beat")
    _table(sheet, result.beats, level.as_shown)
    if result.playing:
        sheet.heading("Played, beat by beat")
        _played_table(sheet, result.playing, level.as_shown)
    return sheet.bytes()


def _played_table(sheet: PrintedSheet, playing: PlayingResult, shown: Callable[[str], str]) -> None:
    lines = [
        (
            str(beat.bar), str(beat.beat), beat.how, shown(beat.written.count),
            "not read" if beat.played is None else shown(beat.played.count),
        )
        for beat in playing.beats
    ]  # fmt: skip
    sheet.table(("Bar", "Beat", "How", "Written", "Played"), (18.0, 18.0, 40.0, 47.0, 47.0), lines)


def _table(sheet: PrintedSheet, beats: Sequence[BeatResult], shown: Callable[[str], str]) -> None:
    """A line for each bar: what was heard on each beat that was asked, and what was said where that was another."""
    bars: dict[int, dict[int, str]] = {}
    for beat in beats:
        heard = _in_one(shown(beat.heard.count))
        said = _in_one(f"said {shown(beat.said.count)}" if beat.said else "nothing said")
        bars.setdefault(beat.question, {})[beat.beat] = heard if beat.right else f"{heard}: {said}"
    most = max((beat for told in bars.values() for beat in told), default=1)
    lines = [(str(bar), *(told.get(beat, "") for beat in range(1, most + 1))) for bar, told in bars.items()]
    heads = ("Bar", *(f"Beat {beat}" for beat in range(1, most + 1)))
    sheet.text("What was heard, and after a colon what was said where it was something else.", SMALL)
    sheet.gap(1)
    sheet.table(heads, (BAR, *[(sheet.width - BAR) / most] * most), lines)


def _in_one(words: str) -> str:
    """Words that stay on one line: no part of a count is taken for the whole."""
    return words.replace(" ", "\u00a0")
