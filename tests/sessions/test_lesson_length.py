"""How long a lesson of ten bars takes: held by keys, and as the page before it says."""

from itertools import product

import pytest

from game.sessions.lesson.duration import BARS, REVEAL, LessonLength, lesson_length, lesson_seconds, polls_of
from shared.levels import find_level, shipped_names
from tests.bench.lesson import FOUR, LEVEL, TWO, held


def test_ten_bars_fit_into_ten_minutes() -> None:
    """A bar takes eight keys, with teams too, and six of a remote; ten bars leave time for ten reveals."""
    room, two, four, remote = held(), held(TWO), held(FOUR), held(one_beat=True)
    assert max(room.presses) == max(two.presses) == max(four.presses) == 8
    assert max(remote.presses) <= 6
    assert min(one.left for one in (room, two, four, remote)) >= BARS * REVEAL
    assert (room.kept, two.kept, four.kept, remote.kept) == (40, 40, 40, 20)


@pytest.mark.parametrize("teams", [(), TWO])
@pytest.mark.parametrize(("one_beat", "all_teams"), [(False, False), (False, True), (True, False)])
def test_the_length_that_is_told_is_that_of_a_lesson(teams: tuple[str, ...], one_beat: bool, all_teams: bool) -> None:
    """What the page before a lesson says is within a minute of a lesson held by keys, with its reveals."""
    level = find_level(LEVEL)
    polls = polls_of(level, len(teams), one_beat=one_beat, all_teams=all_teams)
    lesson = held(teams, one_beat=one_beat, all_teams=all_teams)
    assert lesson_seconds(level, polls) == pytest.approx(lesson.seconds + BARS * REVEAL, abs=60)


def test_a_long_lesson_says_how_many_bars_fit() -> None:
    """Ten minutes are told as they are; of more it is said how many bars fit into ten, and what takes the time."""
    assert LessonLength(10).words == "Ten bars, each heard twice: about 10 minutes."
    slow = LessonLength(13, 7, "its bars are slow")
    assert slow.words == "Ten bars, each heard twice: about 13 minutes, as its bars are slow. Ten minutes hold seven."
    assert LessonLength(99, 1, "its bars are slow").words.endswith("Ten minutes hold one.")


@pytest.mark.parametrize("name", shipped_names())
def test_the_bars_on_offer_fit_ten_minutes_and_no_more_do(name: str) -> None:
    """On every level, whoever answers: one bar more would take longer; ten bars of ten minutes need no offer."""
    level = find_level(name)
    for teams, all_teams, one_beat in product((0, 2, 4), (False, True), (False, True)):
        polls = polls_of(level, teams, one_beat=one_beat, all_teams=all_teams)
        asked = f"{teams} teams, all: {all_teams}, one beat: {one_beat}"
        for unmet in (0, len(level.new or level.figures)):
            length = lesson_length(level, polls, unmet)
            if not length.fitting:
                assert lesson_seconds(level, polls, unmet) <= 630, asked
                continue
            assert lesson_seconds(level, polls, unmet, length.fitting) <= 600, asked
            assert lesson_seconds(level, polls, unmet, length.fitting + 1) > 600, asked


@pytest.mark.parametrize(
    ("level", "polls", "unmet", "why"),
    [
        ("mixed-grids", 4, 0, "its bars are slow"),
        ("stage-4", 16, 0, "every team is asked on each beat"),
        ("mixed-grids", 16, 4, "every team is asked on each beat"),
        ("stage-4", 4, 4, "new figures are met first"),
    ],
)
def test_the_reason_is_what_takes_most(level: str, polls: int, unmet: int, why: str) -> None:
    """Of slow bars, teams all asked and figures to be met, what a teacher would change first."""
    assert lesson_length(find_level(level), polls, unmet).why == why


def test_meeting_figures_takes_time() -> None:
    """Each new figure is heard alone and beside one like it; no more than four are met in ten bars."""
    level = find_level(LEVEL)
    plain, one, many = (lesson_seconds(level, 4, unmet) for unmet in (0, 1, 20))
    assert plain < one < many == plain + 4 * (one - plain)
