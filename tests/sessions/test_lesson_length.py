"""How long a lesson of ten bars takes: held by keys, and as the page before it says."""

import pytest

from game.sessions.lesson.duration import BARS, REVEAL, lesson_seconds, lesson_words, polls_of
from shared.levels import find_level
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
    """Ten minutes are told as they are; of thirteen it is said how many bars fit into ten."""
    assert lesson_words(590) == "Ten bars, each heard twice: about 10 minutes."
    assert lesson_words(800) == "Ten bars, each heard twice: about 13 minutes. In ten minutes: 7."


def test_meeting_figures_takes_time() -> None:
    """Each new figure is heard alone and beside one like it; no more than four are met in ten bars."""
    level = find_level(LEVEL)
    plain, one, many = (lesson_seconds(level, 4, unmet) for unmet in (0, 1, 20))
    assert plain < one < many == plain + 4 * (one - plain)
