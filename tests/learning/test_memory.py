"""Memory over days: strength, what is due, and what is undone."""

import pytest

from game.learning.memory import OVERLAID, Memory
from game.wording import DAY_SECONDS

NOW = 1_700_000_000.0


def daily(rights, gap_days=1.0):
    """A memory of one figure answered once a day."""
    memory = Memory(2)
    for day, right in enumerate(rights):
        memory.note_bar([(0, right, NOW + day * gap_days * DAY_SECONDS)])
    return memory, NOW + (len(rights) - 1) * gap_days * DAY_SECONDS


def test_success_strengthens():
    """After right answers on several days, less is forgotten in a week than after one."""
    (weak, then), (strong, later) = daily([True]), daily([True] * 5, gap_days=3)
    week = 7 * DAY_SECONDS
    assert strong.forgotten(later + week)[0] < weak.forgotten(then + week)[0]


def test_failure_weakens():
    """A wrong first answer of the day leaves less strength than a right one."""
    (right, then), (wrong, _) = daily([True, True, True]), daily([True, True, False])
    assert wrong.forgotten(then + DAY_SECONDS)[0] > right.forgotten(then + DAY_SECONDS)[0]


def test_only_first_answer_of_a_sitting_is_a_review():
    """What follows in the same sitting is practice and leaves the strength alone."""
    once, _ = daily([True])
    often, _ = daily([True])
    for minute in range(1, 10):
        often.note_bar([(0, minute % 2 == 0, NOW + 60 * minute)])
    week = NOW + 7 * DAY_SECONDS
    assert often.forgotten(week + 540)[0] == pytest.approx(once.forgotten(week)[0])


def test_what_was_right_is_due_later():
    """Nothing is due at once; what was named wrong is due sooner than what was right, and what was not heard never."""
    memory = Memory(3)
    for day in range(4):
        at = NOW + day * 3 * DAY_SECONDS
        memory.note_bar([(0, True, at), (1, False, at)])
    right, wrong, unheard = memory.due_at()
    assert NOW + 9 * DAY_SECONDS < wrong < right < NOW + 365 * DAY_SECONDS
    assert unheard is None


def test_bars_without_a_figure_overlay_it():
    """Other figures' bars undo a little, even within a sitting."""
    memory, now = daily([True])
    before = memory.forgotten(now)[0]
    for _ in range(20):
        memory.note_bar([])
    assert memory.forgotten(now)[0] > before
    assert memory.forgotten(now)[1] == 0


def test_a_sitting_ends_after_four_hours():
    """A wrong answer four hours after the last one is a review and weakens; a second sooner it is practice."""
    four_hours, month = 4 * 3600.0, 30 * DAY_SECONDS

    def forgotten(gap):
        memory, now = daily([True, True], gap_days=10)
        memory.note_bar([(0, False, now + gap)])
        return memory.forgotten(now + gap + month)[0]

    assert forgotten(four_hours) > forgotten(four_hours - 1) + 0.1


def test_each_bar_without_a_figure_undoes_as_much():
    """What was just heard is all there; ten bars without it undo six in a hundred, and nothing undoes more than all."""
    memory, now = daily([True])
    assert memory.forgotten(now)[0] == 0
    assert memory.rested().tolist() == [1, 2]
    for _ in range(10):
        memory.note_bar([])
    assert memory.forgotten(now)[0] == pytest.approx(10 * OVERLAID)
    assert memory.rested().tolist() == [11, 12]
    for _ in range(1000):
        memory.note_bar([])
    assert memory.forgotten(now)[0] == 1


def test_days_away_count_from_the_last_hearing():
    """Two days after the last hearing it is two days; for a figure never heard, and with a clock put back, none."""
    memory, now = daily([True, True])
    assert memory.days_away(now + 2 * DAY_SECONDS) == pytest.approx([2, 0])
    assert memory.days_away(now - DAY_SECONDS) == pytest.approx([0, 0])
    assert memory.heard == [2, 0]
