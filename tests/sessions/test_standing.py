"""How firmly figures are held, and what becomes of it with the days."""

import json
from dataclasses import replace

import pytest

from game.learning import Answer
from game.learning.coach import Coach
from game.sessions.progress.standing import HORIZONS, Standing, heard_times, standing
from game.wording import DAY_SECONDS as DAY
from shared.bars import Bar
from shared.levels import find_level

NOW = 1_700_000_000.0
LEVEL = find_level("stage-1")
COUNTS = tuple(figure.count for figure in LEVEL.figures)


def answers(bars: int, right: bool = True) -> list[Answer]:
    """So many answered bars, half a minute apart, the last one now."""
    rows = []
    for turn in range(bars):
        figures = tuple(LEVEL.figures[(turn + k) % len(LEVEL.figures)] for k in range(4))
        bar = Bar(LEVEL.meter, figures)
        for beat, figure in enumerate(figures):
            said = figure if right else LEVEL.figures[LEVEL.figures.index(figure) - 1]
            at = NOW - 30.0 * (bars - 1 - turn)
            rows.append(Answer(at, LEVEL.name, "4/4", bar.count, beat, figure.count, said.count, 2.0, "snare", 60.0))
    return rows


def held(rows: list[Answer], now: float = NOW) -> Standing:
    last = rows[-1].at if rows else None
    return standing(LEVEL, Coach.replay(LEVEL, rows), heard_times(LEVEL, rows), last, now)


def lines(*figures: tuple[float, ...]) -> Standing:
    """A standing of some figures, each with its recall at the first horizons; the last value goes on."""
    full = [tuple(line) + (line[-1],) * (len(HORIZONS) - len(line)) for line in figures]
    names = COUNTS[: len(figures)]
    return Standing(LEVEL.name, NOW, NOW, names, (9,) * len(names), tuple(zip(*full, strict=True)))


def test_many_right_answers_hold() -> None:
    """Thirty right bars make every figure of the first stage firm, and the level hold; none has sunk at once."""
    found = held(answers(30))
    assert found.holds(NOW)
    assert found.sunk(NOW) == ()
    assert found.weakest(NOW) == ()


def test_wrong_answers_hold_nothing() -> None:
    """Who is always wrong has no firm figure, and all of them are weak."""
    found = held(answers(30, right=False))
    assert not any(found.firm(NOW))
    assert set(found.weakest(NOW)) == set(COUNTS)


def test_few_answers_hold_nothing() -> None:
    """One right bar is not enough to hold, whatever the coach hopes."""
    assert not held(answers(1)).holds(NOW)


def test_firmness_grows_with_hearing_and_sinks_with_days() -> None:
    """More right answers raise every figure that is heard more; a quarter of a year lowers all of them."""
    few, many = held(answers(6)), held(answers(30))
    assert sum(many.firmness(NOW)) > sum(few.firmness(NOW))
    assert all(later < now for later, now in zip(many.firmness(NOW + 90 * DAY), many.firmness(NOW), strict=True))


def test_recall_is_what_the_coach_says() -> None:
    """At the kept horizons the standing and the coach agree."""
    rows = answers(12)
    coach, found = Coach.replay(LEVEL, rows), held(rows)
    for days in HORIZONS:
        assert found.recall_at(NOW + days * DAY) == pytest.approx(coach.recall(NOW + days * DAY).tolist())


def test_sunk_is_what_held_and_does_not_today() -> None:
    """A figure that was at .95 and is at .7 after four days has sunk; one that never held has not."""
    found = lines((0.95, 0.95, 0.9, 0.7), (0.6, 0.5), (0.99, 0.99))
    assert found.sunk(NOW) == ()
    assert found.sunk(NOW + 4 * DAY) == (COUNTS[0],)


@pytest.mark.parametrize("days", [0, 1, 2, 4, 8, 40])
def test_a_figure_is_firm_or_sunk_or_neither(days: int) -> None:
    """Of figures that were firm each is firm still or sunk, whatever the hour; one is never both."""
    found = lines((0.95, 0.95, 0.93, 0.85, 0.8, 0.6), (0.99, 0.97, 0.9, 0.89), (0.95, 0.6))
    now = NOW + days * DAY
    firm = {figure for figure, holds in zip(found.figures, found.firm(now), strict=True) if holds}
    assert firm.isdisjoint(found.sunk(now))
    assert firm.union(found.sunk(now)) == set(COUNTS[:2])


def test_kept_and_read_again_is_the_same() -> None:
    """What was kept as derived data says the same, to the fourth place; for other figures it says nothing."""
    found = held(answers(12))
    again = Standing.from_kept(LEVEL, found.kept())
    assert again is not None
    assert again.firmness(NOW) == pytest.approx(found.firmness(NOW), abs=1e-4)
    assert Standing.from_kept(find_level("stage-2"), found.kept()) is None
    assert Standing.from_kept(LEVEL, {"at": "then"}) is None


def test_second_tries_and_other_abilities_are_not_heard() -> None:
    """Only first tries by ear count as hearing a figure; a class's rows of one beat count once."""
    rows = answers(1)
    told = [replace(row, attempt=2) for row in rows] + [replace(row, ability="reading") for row in rows]
    shares = [replace(row, share=0.5) for row in rows for _ in range(2)]
    assert sum(heard_times(LEVEL, told)) == 0
    assert sum(heard_times(LEVEL, shares)) == 4


def test_bars_of_one_time_are_heard_each() -> None:
    """Answers of a clock that was ahead all count as now; bars that differ are still a hearing each."""
    rows = answers(1)
    assert sum(heard_times(LEVEL, [*rows, *(replace(row, bar="1 2 3 4 &") for row in rows)])) == 8


def test_weeks_away_sink_what_was_firm() -> None:
    """After two days of right answers all is firm the next day, and all has sunk forty days on, to be brought back."""

    rows = [replace(row, at=row.at + later) for later in (0.0, DAY) for row in answers(15)]
    found = held(rows, NOW + 2 * DAY)
    assert found.holds(found.at + DAY)
    assert found.sunk(found.at + DAY) == ()
    assert set(found.sunk(found.at + 40 * DAY)) == set(found.figures)
    assert not found.holds(found.at + 40 * DAY)
    assert Standing.from_kept(LEVEL, json.loads(json.dumps(found.kept()))) is not None
