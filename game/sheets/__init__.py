"""A worksheet for a class: pages to print and the sound to play with them."""

import os
from pathlib import Path

from audio.wav import wav_bytes
from game.engraving.ground import Pages
from game.pieces import KINDS, chart_piece
from game.reports.chart_report import chart_pages, chart_report
from game.sessions.paper.worksheet import MOST_BARS, MOST_PUPILS, VERSIONS, Worksheet
from game.sheets.pages import draw_sheet
from game.sheets.sound import sheet_tracks, whole_sheet
from shared.charts import Chart
from shared.errors import UserError
from shared.files import check_place, write_together
from shared.notation.page import Dress
from shared.orchestration import Setting
from shared.passages import check_tempo


class SheetError(UserError, ValueError):
    """A sheet that cannot be made; the message is one line."""


def write_sheet(sheet: Worksheet, path: str | os.PathLike[str], tracks: bool = False) -> list[Path]:
    """Write a worksheet (.pdf) and its sound (.wav, of the same name beside it); give their paths.

    With ``tracks`` each bar is a file of its own as well, its number at the end of the name.  The same choice gives
    the same bytes.  Raises ``SheetError`` or ``TempoError`` for a number out of its bounds or a name that does not end
    in ``.pdf``, ``FileError`` where a file cannot be written; then there is none.
    """
    pages = Path(path)
    if pages.suffix.lower() != ".pdf":
        raise SheetError(f"{pages.name!r}: a sheet is a .pdf; its sound goes beside it as a .wav of the same name")
    check(sheet)
    whole, names = pages.with_suffix(".wav"), track_paths(pages, sheet.bars) if tracks else []
    # Before the sound is worked out, which takes a while.
    for path in (pages, whole, *names):
        check_place(path)
    played = sheet_tracks(sheet.questions())
    files = {pages: sheet_pages(sheet), whole: wav_bytes(whole_sheet(played))}
    # Without ``tracks`` there are no names, and the tracks go into the whole file alone.
    write_together(files | {name: wav_bytes(track) for name, track in zip(names, played, strict=False)})
    return [pages, whole, *names]


def write_chart(sheet: Worksheet, path: Path) -> list[Path]:
    """Write the bars of a worksheet as drum music: pages (.pdf) and, beside them, a score (.musicxml); their paths.

    Raises as ``write_sheet``.
    """
    if path.suffix.lower() != ".pdf":
        raise SheetError(f"{path.name!r}: a chart is a .pdf; its score goes beside it as a .musicxml of the same name")
    check(sheet)
    score = path.with_suffix(".musicxml")
    written = _chart_of(sheet)
    pages = chart_report(*written)
    write_together({path: pages, score: KINDS[".musicxml"].made(chart_piece(*written[:3]))})
    return [path, score]


def draw_sheet_chart(sheet: Worksheet, page: Pages) -> None:
    """Draw the bars of a worksheet as drum music on pages to be looked at."""
    chart_pages(*_chart_of(sheet), page)


def _chart_of(sheet: Worksheet) -> tuple[Chart, Setting, str, str, Dress]:
    title = f"{sheet.level.title}: a chart to read from"
    return (
        sheet.chart(),
        sheet.chart_setting,
        title,
        f"Seed {sheet.seed}",
        Dress(count=sheet.counts, words=sheet.level.shown),
    )


def track_paths(pages: Path, bars: int) -> list[Path]:
    """Where the tracks of the bars go: beside the pages, "monday-01.wav" first."""
    return [pages.with_name(f"{pages.stem}-{number:02}.wav") for number in range(1, bars + 1)]


def sheet_pages(sheet: Worksheet) -> bytes:
    """Worksheets, answer key and cards as the bytes of a PDF file."""
    from game.engraving.pdf import PdfPage  # fpdf2 is slow to load: only when something is printed

    page = PdfPage(f"{sheet.level.title}: worksheet")
    draw_sheet(sheet, page)
    return page.bytes()


def check(sheet: Worksheet) -> None:
    """Raise ``SheetError`` or ``TempoError`` where a number of the sheet is out of its bounds."""
    for number, most, what in (
        (sheet.bars, MOST_BARS, "questions"),
        (sheet.versions, len(VERSIONS), "versions"),
        (sheet.pupils, MOST_PUPILS, "pupils"),
    ):
        if not 1 <= number <= most:
            raise SheetError(f"{number} {what}: choose from 1 to {most}")
    if sheet.tempo is not None:
        check_tempo(sheet.tempo)
