"""Progress, counted by hand."""

import csv
import io
from datetime import UTC, date, timedelta, timezone

import numpy as np
import pytest

from game.sessions.progress.progress import (
    change_rows,
    changes,
    confusion_table,
    csv_text,
    day_rows,
    practice_days,
    recall_by_week,
    week_rows,
)
from tests.sessions.lessons import DAY, NOW, STAGE_3, answer, figure

MONDAY = 1_764_547_200.0
"""2025-12-01 00:00 UTC, a Monday (common calendar)."""


def test_the_table_by_hand() -> None:
    """Four answers to 1 e &: twice right, once 1 & a, once skipped."""
    rows = [answer("1 e &", said) for said in ("1 e &", "1 e &", "1 & a", None)]
    table = confusion_table(STAGE_3, rows)
    heard, said = STAGE_3.figures.index(figure("1 e &")), STAGE_3.figures.index(figure("1 & a"))
    assert table.counts[heard, heard] == 2
    assert table.shares[heard, said] == 0.25
    assert (table.heard[heard], table.skipped[heard], table.heard.sum()) == (4, 1, 4)
    assert table.rows() == [
        ["heard", "said", "times", "share"],
        ["1 e &", "1 e &", 2.0, 0.5],
        ["1 e &", "1 & a", 1.0, 0.25],
        ["1 e &", "", 1.0, 0.25],
    ]


def test_tables_over_time_add_up() -> None:
    """A table of each month, added up, is the table of all: the border belongs to the later one."""
    rows = [answer("1", "1 &", NOW - k * DAY) for k in range(60)]
    early = confusion_table(STAGE_3, rows, until=NOW - 30 * DAY)
    late = confusion_table(STAGE_3, rows, since=NOW - 30 * DAY)
    assert np.array_equal(early.counts + late.counts, confusion_table(STAGE_3, rows).counts)
    assert (early.heard[0], late.heard[0]) == (29, 31)


def test_an_empty_table_has_no_shares() -> None:
    """Nothing heard, nothing divided by nought."""
    assert not confusion_table(STAGE_3, []).shares.any()


def test_weeks_begin_on_monday() -> None:
    """Sunday night and Monday morning are two weeks."""
    rows = [answer("1", "1", MONDAY - 60), answer("1", "1 &", MONDAY), answer("1", "1", MONDAY + 6 * DAY)]
    weeks = recall_by_week(STAGE_3, rows, UTC)
    assert [(week.begins, week.right, week.answers) for week in weeks] == [
        (date(2025, 11, 24), 1, 1),
        (date(2025, 12, 1), 1, 2),
    ]
    assert weeks[1].share == 0.5


def test_days_follow_the_time_zone() -> None:
    """An hour before midnight UTC is the next day two hours further east."""
    rows = [answer("1", "1", MONDAY - 3600)]
    assert practice_days(rows, UTC)[0].day == date(2025, 11, 30)
    assert practice_days(rows, timezone(timedelta(hours=2)))[0].day == date(2025, 12, 1)


def test_a_day_by_hand() -> None:
    """Two bars, of two beats and one, two right."""
    rows = [answer("1", "1", MONDAY), answer("1 &", "1", MONDAY), answer("1", "1", MONDAY + 30)]
    day = practice_days(rows, UTC)[0]
    assert (day.bars, day.beats, day.right) == (2, 3, 2)


@pytest.mark.parametrize(
    ("before", "after", "verdict"),
    [
        ((10, 20), (19, 20), "better"),
        ((19, 20), (10, 20), "worse"),
        ((12, 20), (15, 20), "no clear change"),
        ((0, 7), (20, 20), "too few answers"),
        ((0, 8), (8, 8), "better"),
    ],
)
def test_what_changed_this_month(before: tuple[int, int], after: tuple[int, int], verdict: str) -> None:
    """Half to 19 of 20 is more than chance; 12 to 15 of 20 is not; seven answers are too few."""
    rows = [
        answer("1", "1" if k < right else "1 &", NOW - days * DAY)
        for (right, total), days in ((before, 45), (after, 5))
        for k in range(total)
    ]
    change = changes(STAGE_3, rows, NOW)[0]
    assert (change.before, change.after, change.verdict) == (before, after, verdict)


def test_csv_reads_back() -> None:
    """Python's own reader finds the same cells; lines end as RFC 4180 says."""
    rows = [answer("1 e &", "1 & a", MONDAY), answer("(1) &", "(1) &", MONDAY)]
    tables = [
        confusion_table(STAGE_3, rows).rows(),
        week_rows(recall_by_week(STAGE_3, rows, UTC)),
        day_rows(practice_days(rows, UTC)),
        change_rows(changes(STAGE_3, rows, MONDAY + DAY)),
    ]
    for table in tables:
        text = csv_text(table)
        assert text.count("\r\n") == len(table)
        assert list(csv.reader(io.StringIO(text, newline=""))) == [[str(cell) for cell in row] for row in table]


def test_csv_quotes_what_needs_it() -> None:
    """Commas, quotes and line breaks in a cell stay in it."""
    assert csv_text([["a,b", 'c"d']]) == '"a,b","c""d"\r\n'


def test_what_nobody_said_is_no_answer() -> None:
    """A row with no part of the room, as only a history of another hand has it, leaves every table as it is."""
    rows = [answer("1", "1", MONDAY, share=0.5), answer("1", None, MONDAY, share=0.5)]
    nobody = [answer(heard, "1 &", MONDAY, share=0.0) for heard in ("1", "1 e &")]
    assert recall_by_week(STAGE_3, rows + nobody, UTC) == recall_by_week(STAGE_3, rows, UTC)
    assert practice_days(rows + nobody, UTC) == practice_days(rows, UTC)
    assert practice_days(nobody, UTC) == ()
