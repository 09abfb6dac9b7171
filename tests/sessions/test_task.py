"""A task that a teacher sets: what is proposed, how long it stands, and when it is done."""

from dataclasses import replace
from datetime import timedelta

import pytest

from game.sessions.home.aim import AimKind, task_aim
from game.sessions.progress.mixups import MixUp
from game.sessions.pupils.task import PAIR_RIGHT, SetTask, following, state_words, until_words
from game.wording import DAY_SECONDS, local_day
from shared.levels import find_level
from tests.records.record_samples import ANSWER

NOW = 1_750_000_000.0
LEVEL = find_level("stage-3")
ONE, OTHER, THIRD = LEVEL.figures[:3]
MIXED = (MixUp(OTHER, ONE, 4, 8), MixUp(ONE, OTHER, 3, 8), MixUp(ONE, THIRD, 2, 8))


def test_one_key_steps_through_what_is_proposed() -> None:
    """Each pair once, whichever way it was mixed up, the largest first; then the whole level; then none, and again."""
    task, found = None, []
    for _ in range(5):
        task = following(LEVEL, MIXED, task, "Hazel", NOW)
        found.append(task.figures if task else None)
    pair = (ONE.count, OTHER.count)
    assert found == [pair, (ONE.count, THIRD.count), (), None, pair]
    elsewhere = SetTask("stage-1", (), "Hazel", NOW, local_day(NOW))
    assert following(LEVEL, MIXED, elsewhere, "", NOW).figures == pair


def test_a_task_stands_for_a_week_or_until_it_is_done() -> None:
    """Right answers to its figures count, at the first try and since it was set; a level's to any of its figures."""
    task = following(LEVEL, MIXED, None, "Hazel", NOW)
    assert task.until == local_day(NOW) + timedelta(days=7)
    assert task.stands([], NOW + 7 * DAY_SECONDS)
    assert not task.stands([], NOW + 8 * DAY_SECONDS)
    sample = replace(ANSWER, level=LEVEL.name, heard=ONE.count, said=ONE.count, attempt=1, ability="hearing")
    right = [replace(sample, at=NOW + k) for k in range(PAIR_RIGHT)]
    others = [
        replace(sample, at=NOW - 1), replace(sample, at=NOW + 9, attempt=2), replace(sample, at=NOW + 9, said=None),
        replace(sample, at=NOW + 9, heard=THIRD.count, said=THIRD.count),
        replace(sample, at=NOW + 9, level="stage-1"),
    ]  # fmt: skip
    assert task.right([*right[1:], *others]) == PAIR_RIGHT - 1
    assert task.stands([*right[1:], *others], NOW)
    assert not task.stands(right, NOW)
    assert replace(task, figures=()).right([*right[1:], *others]) == PAIR_RIGHT


def test_it_is_kept_and_a_damaged_one_is_none() -> None:
    """What is kept comes back; anything else is no task, and no fault."""
    task = following(LEVEL, MIXED, None, "Hazel", NOW)
    assert SetTask.from_kept(task.kept()) == task
    for damaged in (None, 3, [], {}, {**task.kept(), "until": "soon"}, {**task.kept(), "at": None}):
        assert SetTask.from_kept(damaged) is None


@pytest.mark.parametrize("by", ["Hazel", ""])
def test_the_pupil_and_the_teacher_read_how_it_stands(by: str) -> None:
    """What, by whom and until when, how far; then that it is done, or over."""
    task = following(LEVEL.counted_in("e und e"), MIXED, None, by, NOW)
    told = f"Set by {by} until" if by else "Set until"
    assert until_words(task, 3) == f"{told} Sunday, 22 June 2025: 3 of 20 right."
    aim = task_aim(LEVEL, task, 3)
    assert (aim.kind, aim.title, aim.why) == (AimKind.TASK, "Your task: 1 and 1 &", until_words(task, 3))
    assert state_words(task, LEVEL.counted_in("e und e"), 20, NOW) == "Task done: 1 and 1 und."
    assert state_words(task, LEVEL, 3, NOW + 9 * DAY_SECONDS) == "Task over: 1 and 1 &, 3 of 20 right."
