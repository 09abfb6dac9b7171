"""Tables as CSV, read back by Python's own reader."""

import csv
import io

from hypothesis import given
from hypothesis import strategies as st

from shared.tables import csv_line

FORMULA = "=+-@\t\r"
"""With what a formula begins.  Source: OWASP, "CSV Injection"."""


def read(line: str) -> list[str]:
    """The cells of one line."""
    (row,) = csv.reader(io.StringIO(line, newline=""))
    return row


@given(st.lists(st.text(st.characters(exclude_characters="\0")), min_size=2, max_size=5))
def test_texts_read_back(cells: list[str]) -> None:
    """Every text comes back, or stands behind an apostrophe; none begins as a formula does."""
    line = csv_line(cells)
    assert line.endswith("\r\n")
    for given_, found in zip(cells, read(line), strict=True):
        assert found == given_ or (found == f"'{given_}" and given_[0])
        assert found[:1] not in tuple(FORMULA)


def test_numbers_stay_numbers() -> None:
    """A negative number is no formula."""
    assert csv_line([-1.5, 3, None, "1 e a"]) == "-1.5,3,,1 e a\r\n"
