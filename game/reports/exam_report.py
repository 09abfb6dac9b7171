"""The result of a mock exam as a page to print."""

from collections.abc import Callable, Sequence

from game.reports.sheet import PrintedSheet
from game.sessions.exam.outlook import percent
from game.sessions.exam.playing_part import PlayingResult
from game.sessions.exam.result import BANDS, BeatResult, ExamResult
from game.sessions.lesson.summary import SHOWN_MIX_UPS
from game.wording import day_words, how_often
from shared.levels import Level


def exam_report(result: ExamResult, player: str, level: Level, now: float, outlook: Sequence[str]) -> bytes:
    """A finished exam beat by beat, with the forecast's words, as the bytes of a PDF file."""
    sheet = PrintedSheet(f"Mock exam: {player}", f"{result.title}, {day_words(now)}")
    sheet.text(f"{result.right} of {len(result.beats)} beats right: {percent(result.mark)}, {result.band}.", bold=True)
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
            "not sure" if beat.played is None else shown(beat.played.count),
        )
        for beat in playing.beats
    ]  # fmt: skip
    sheet.table(("Bar", "Beat", "How", "Written", "Played"), (18.0, 18.0, 40.0, 47.0, 47.0), lines)


def _table(sheet: PrintedSheet, beats: Sequence[BeatResult], shown: Callable[[str], str]) -> None:
    lines = [
        (
            str(beat.question), str(beat.beat), shown(beat.heard.count),
            shown(beat.said.count) if beat.said else "nothing",
            "right" if beat.right else "not right",
        )
        for beat in beats
    ]  # fmt: skip
    sheet.table(("Bar", "Beat", "Heard", "Said", ""), (18.0, 18.0, 52.0, 52.0, 30.0), lines)
