"""Tables as CSV after RFC 4180: commas, quotes where needed, lines that end in CR LF."""

import csv
import io
from collections.abc import Iterable

_FORMULA = ("=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠")
"""The first signs of a cell by which a spreadsheet takes it for a formula.  Source: OWASP, "CSV Injection"."""


def csv_line(cells: Iterable[object]) -> str:
    """One row of a table.

    A text that a spreadsheet would take for a formula gets an apostrophe before it, which spreadsheets take as the
    mark of a text: a level's or a player's name may come from anybody's file.  Numbers stay numbers.
    """
    # As the manual of the csv module asks, so that its CR LF stays what it is.
    line = io.StringIO(newline="")
    csv.writer(line, lineterminator="\r\n").writerow(_as_text(cell) for cell in cells)
    return line.getvalue()


def _as_text(cell: object) -> object:
    return f"'{cell}" if isinstance(cell, str) and cell.startswith(_FORMULA) else cell
