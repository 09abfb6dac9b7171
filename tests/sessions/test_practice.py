"""A round of practice, without a window."""

from dataclasses import replace
from itertools import count
from typing import Any

import pytest

from game.learning.evidence import Answer
from game.learning.question import Mark, Question, Reason, question_id
from game.learning.staircase import TWO_BARS
from game.sessions.practice.round import BarResult, Mistaken, PracticeRound, State
from game.sessions.practice.scoring import beat_points
from shared.counting import parse_bar, parse_figure
from shared.figures import Figure
from shared.orchestration import Setting

CHOICES = tuple(parse_figure(text) for text in ("1", "1 &", "1 e a", "1 & a"))
NOW = 1_700_000_000.0


class Asker:
    """Asks the same bar again and again, and remembers what it was told."""

    def __init__(self, bar: str = "1 e a 2 & 3 & a 4", asked: tuple[int, ...] = (0, 1, 2, 3)) -> None:
        self.question = Question(parse_bar(bar), asked, CHOICES, Setting(), Reason("because"), question_id(bar, asked))
        self.told: list[tuple[float | None, int]] = []
        self.how: list[dict[str, Any]] = []

    def ask(self, _now: float) -> Question:
        return self.question

    def mark(self, question, picks, now, *, seconds, hearings, **how) -> Mark:
        self.told.append((seconds, hearings))
        self.how.append({"picks": picks, "asked": question.asked, **how})
        heard = question.asked_figures
        rows = tuple(
            Answer(now, "stage-3", "4/4", question.bar.count, place, figure.count, pick and pick.count, None,
                   "snare", 80.0, hearings)
            for place, figure, pick in zip(question.asked, heard, picks, strict=True)
        )  # fmt: skip
        return Mark(tuple(pick == figure for pick, figure in zip(picks, heard, strict=True)), rows)

    def recall(self, _now: float) -> tuple[float, ...]:
        return (0.5,) * len(self.question.choices)


def started(asker: Asker | None = None, **changes) -> PracticeRound:
    return PracticeRound(asker or Asker(), changes.pop("keep", lambda _question, _rows: None), NOW, **changes)


def say(round_: PracticeRound, *texts: str) -> None:
    for text in texts:
        round_.sheet.pick(parse_figure(text))


def test_picks_walk_through_asked_beats() -> None:
    """Each pick fills the chosen beat and moves on to the next empty one."""
    round_ = started(Asker(asked=(2, 3)))
    assert round_.sheet.place == 2
    say(round_, "1 & a")
    assert round_.sheet.place == 3
    say(round_, "1")
    assert round_.sheet.full
    assert list(round_.sheet.picks) == [2, 3]


def test_pick_fills_gap_left_behind() -> None:
    """After the last beat the first empty one is next."""
    round_ = started()
    round_.sheet.go_to(3)
    say(round_, "1")
    assert round_.sheet.place == 0


def test_clear_takes_back_last_pick() -> None:
    """Clearing an empty beat takes back the one before it."""
    round_ = started()
    say(round_, "1 e a", "1 &")
    round_.sheet.take_back()
    assert round_.sheet.place == 1
    assert round_.sheet.picks[1] is None
    assert round_.sheet.picks[0] == parse_figure("1 e a")


def test_place_that_is_not_asked_is_passed_over() -> None:
    """Only asked beats can be chosen."""
    round_ = started(Asker(asked=(3,)))
    round_.sheet.go_to(0)
    assert round_.sheet.place == 3


def test_kept_before_revealed() -> None:
    """The answers are handed to be kept while the round still hides the reveal."""
    seen: list[tuple[State, int]] = []
    round_ = started(keep=lambda _, rows: seen.append((round_.state, len(rows))))
    say(round_, "1 e a", "1 &", "1 & a", "1")
    round_.answer(NOW + 9)
    assert seen == [(State.ANSWERING, 4)]
    assert round_.state is State.REVEALED


def test_failed_keeping_hides_reveal_and_marks_once() -> None:
    """When the disk refuses, nothing is revealed, the picks stay, and a second try marks no second time."""
    tries = count()

    def keep(_question: str, _rows: tuple[Answer, ...]) -> None:
        if next(tries) == 0:
            raise OSError("disk full")

    asker = Asker()
    round_ = started(asker, keep=keep)
    say(round_, "1 e a")
    with pytest.raises(OSError, match="disk full"):
        round_.answer(NOW + 5)
    assert round_.state is State.ANSWERING
    say(round_, "1 &")
    assert round_.sheet.picks[1] is None
    round_.answer(NOW + 6)
    assert round_.state is State.REVEALED
    assert len(asker.told) == 1


def test_response_time_runs_from_end_of_first_hearing() -> None:
    """A bar that sounds for 4 s and is answered 7 s after its start took 3 s, however often it was heard."""
    asker = Asker()
    round_ = started(asker)
    round_.sheet.hear(NOW, until_end=4)
    round_.sheet.hear(NOW + 5, until_end=4)
    round_.answer(NOW + 7)
    assert asker.told == [(3.0, 2)]


def test_answer_without_hearing_has_no_time() -> None:
    """Nothing was heard: one hearing at least is noted, and no response time."""
    asker = Asker()
    started(asker).answer(NOW)
    assert asker.told == [(None, 1)]


@pytest.mark.parametrize(
    ("right", "hearings", "expected"),
    [((True,) * 4, 1, 40), ((True,) * 4, 2, 36), ((True, True, True, False), 1, 30), ((True,), 3, 8),
     ((True, False), 9, 5), ((False,) * 4, 1, 0)],
)  # fmt: skip
def test_points_reward_right_beats_and_few_hearings(right: tuple[bool, ...], hearings: int, expected: int) -> None:
    """Worked by hand: 10 for a right beat, 1 less for each further hearing, never below 5."""
    assert sum(beat_points(good, False, hearings - 1) for good in right) == expected


def test_a_beat_heard_alone_costs_that_beat() -> None:
    """The bar twice, once of it slower, and beat 2 alone, and slower alone: 10 - 1 - 1, and 2 less on beat 2."""
    round_ = started()
    round_.sheet.hear(NOW)
    round_.sheet.hear(NOW, slower=True)
    round_.sheet.hear(NOW, beat=1)
    round_.sheet.hear(NOW, beat=1, slower=True)
    say(round_, "1 e a", "1 &", "1 & a", "1")
    result = round_.answer(NOW + 9)
    assert result.beat_points == (8, 6, 8, 8)
    assert (result.points, result.possible, round_.score) == (30, 40, 750)
    assert result.why == ("4 of 4 right", "the bar heard twice", "slowly", "beat 2 heard alone")


def test_a_replay_costs_less_than_half_the_bar() -> None:
    """However it is heard again once, most of the points stay."""
    for how in ({}, {"slower": True}, {"beat": 2}):
        round_ = started()
        round_.sheet.hear(NOW)
        round_.sheet.hear(NOW, **how)
        say(round_, "1 e a", "1 &", "1 & a", "1")
        assert round_.answer(NOW).points > 40 / 2


def test_beats_weigh_alike_in_the_score() -> None:
    """A bar that asks one beat and misses it counts a quarter of one that asks four: 40 of 50, 800 of 1000."""
    asker = Asker()
    round_ = started(asker, bars=2)
    asker.question = replace(asker.question, asked=(3,))
    say(round_, "1 e a", "1 &", "1 & a", "1")
    round_.answer(NOW)
    round_.go_on()
    say(round_, "1 &")
    round_.answer(NOW)
    assert (round_.earned, round_.possible, round_.score) == (40, 50, 800)


def test_the_largest_mix_up_comes_first() -> None:
    """Beat 3 was mixed up with 1 & before; beat 1 for the first time; nothing was said to beat 4."""
    round_ = started(bars=2)
    say(round_, "1 e a", "1 & a", "1 &", "1")
    round_.answer(NOW)
    round_.go_on()
    say(round_, "1 & a", "1 &", "1 &")
    round_.answer(NOW)
    assert round_.largest_first() == (2, 0, 3)


def test_round_ends_after_its_bars() -> None:
    """After the last reveal the round is finished, and stays so."""
    round_ = started(bars=2)
    numbers = []
    for k in range(2):
        numbers.append(round_.number)
        say(round_, "1 e a", "1 &", "1 & a", "1")
        round_.answer(NOW + k)
        round_.go_on()
    round_.go_on()
    assert numbers == [1, 2]
    assert round_.state is State.FINISHED
    assert (round_.beats, round_.right, round_.earned, round_.score) == (8, 8, 80, 1000)


def test_next_bar_starts_empty() -> None:
    """Picks and hearings of one bar do not reach the next."""
    round_ = started()
    round_.sheet.hear(NOW)
    say(round_, "1")
    round_.answer(NOW + 1)
    round_.go_on()
    assert round_.sheet.hearings == 0
    assert set(round_.sheet.picks.values()) == {None}


def test_mix_ups_are_counted() -> None:
    """The most frequent mix-up comes first; a skipped beat is one too, after those with something said."""
    round_ = started(bars=2)
    for said in (("1 & a", "1 &", "1 & a"), ("1 & a", "1", "1 & a", "1")):
        say(round_, *said)
        round_.answer(NOW)
        round_.go_on()
    heard: dict[str, Figure] = {figure.count: figure for figure in CHOICES}
    assert round_.mix_ups() == (
        Mistaken(heard["1 e a"], heard["1 & a"], 2),
        Mistaken(heard["1 &"], heard["1"], 1),
        Mistaken(heard["1"], None, 1),
    )


def test_result_lists_wrong_beats() -> None:
    """Each wrong beat is told with its place, what was heard and what was said."""
    round_ = started()
    say(round_, "1 & a", "1 &", "1 & a", "1")
    result: BarResult = round_.answer(NOW)
    assert result.wrong() == ((0, parse_figure("1 e a"), parse_figure("1 & a")),)


def test_reveal_knows_what_comes_next() -> None:
    """With the reveal the next question is there with its reason; after the last bar there is none."""
    round_ = started(bars=2)
    round_.answer(NOW)
    assert round_.upcoming is not None
    assert round_.upcoming.reason.words == "because"
    round_.go_on()
    round_.answer(NOW)
    assert round_.upcoming is None


def test_a_revealed_bar_is_settled() -> None:
    """After the reveal neither picks nor hearings nor a second answer change anything, and nothing is kept twice."""
    kept: list[str] = []
    round_ = started(keep=lambda question, _rows: kept.append(question))
    round_.sheet.hear(NOW)
    say(round_, "1 e a")
    result = round_.answer(NOW + 1)
    picks = dict(round_.sheet.picks)
    round_.sheet.hear(NOW + 2)
    say(round_, "1")
    round_.sheet.take_back()
    assert round_.answer(NOW + 3) is result
    assert (round_.sheet.picks, round_.sheet.hearings, len(kept), len(round_.results)) == (picks, 1, 1, 1)


def test_clearing_the_first_beat_stays_there() -> None:
    """Where no beat comes before, taking back an empty one changes nothing."""
    round_ = started(Asker(asked=(2, 3)))
    round_.sheet.take_back()
    assert round_.sheet.place == 2
    assert set(round_.sheet.picks.values()) == {None}


def test_hearings_of_a_round_add_up() -> None:
    """Twice, then not at all, which counts as once: three hearings."""
    round_ = started(bars=2)
    round_.sheet.hear(NOW)
    round_.sheet.hear(NOW + 1)
    round_.answer(NOW + 2)
    round_.go_on()
    round_.answer(NOW + 3)
    assert round_.heard == 3


def again(**changes) -> tuple[PracticeRound, Asker]:
    """A round with second tries whose first bar was handed in with beats 1 and 4 wrong, beat 4 not sure."""
    asker = Asker()
    round_ = started(asker, second_tries=True, **changes)
    round_.sheet.hear(NOW, until_end=4)
    say(round_, "1 & a", "1 &", "1 & a")
    round_.sheet.not_sure(NOW + 8)
    round_.answer(NOW + 9)
    return round_, asker


def test_wrong_beats_open_once_more() -> None:
    """Only they can be answered again, and what was said to them is out; the others stand as they were said."""
    round_, asker = again()
    assert round_.state is State.AGAIN
    assert round_.number == 1
    assert round_.sheet.asked == (0, 3)
    assert not round_.sheet.pick(parse_figure("1 & a"))
    say(round_, "1 e a", "1 &")
    assert [figure and figure.count for figure in round_.shown.values()] == ["1 e a", "1 &", "1 & a", "1 &"]
    result = round_.answer(NOW + 20)
    assert (result.right, result.mended) == ((False, True, True, False), (0,))
    assert [how["attempt"] for how in asker.how] == [1, 2]
    assert asker.how[1]["asked"] == (0, 3)
    assert asker.how[0]["unsure"] == [False, False, False, True]
    assert round_.state is State.REVEALED


def test_a_mended_beat_is_worth_half() -> None:
    """Two beats of four right at once and one at the second try: 10, 10 and 5; counters take first tries."""
    round_, _ = again()
    say(round_, "1 e a", "1 &")
    round_.sheet.hear(NOW + 12)
    result = round_.answer(NOW + 20)
    assert (result.points, result.why) == (25, ("2 of 4 right", "1 more at the second try"))
    assert (round_.right, round_.beats, round_.heard) == (2, 4, 1)
    assert [mix_up.heard.count for mix_up in round_.mix_ups()] == ["1 e a", "1"]


def test_both_tries_are_kept_under_one_name() -> None:
    """Each try is handed to be kept when it is handed in, before anything is shown of it."""
    kept: list[tuple[str, int]] = []
    round_, asker = again(keep=lambda question, rows: kept.append((question, len(rows))))
    assert kept == [(asker.question.id, 4)]
    round_.answer(NOW + 20)
    assert kept == [(asker.question.id, 4), (asker.question.id, 2)]


def test_no_second_try_where_it_would_tell() -> None:
    """With three figures on offer two would remain, so the bar is revealed at once; so is one that is right."""
    few = Asker()
    few.question = replace(few.question, choices=CHOICES[:1] + CHOICES[1:3])
    round_ = started(few, second_tries=True)
    round_.answer(NOW)
    assert round_.state is State.REVEALED
    right = started(second_tries=True)
    say(right, "1 e a", "1 &", "1 & a", "1")
    right.answer(NOW)
    assert right.state is State.REVEALED


class InPairs(Asker):
    """Asks two bars in a row, from memory."""

    def ask(self, _now: float) -> Question:
        second = replace(self.question, id=question_id("second"), memory=TWO_BARS)
        return replace(self.question, memory=TWO_BARS, then=second)


def test_two_bars_are_answered_before_either_is_revealed() -> None:
    """The second is asked with nothing shown of the first; then each has its own reveal, and both count."""
    kept: list[str] = []
    round_ = started(InPairs(), keep=lambda question, _: kept.append(question), bars=4, second_tries=True)
    assert round_.once
    say(round_, "1 e a", "1 &", "1 & a", "1 &")
    round_.answer(NOW + 9)
    assert round_.answering
    assert round_.second
    assert (round_.number, round_.results, round_.earned) == (2, [], 0)
    assert round_.sheet.hearings == 1
    say(round_, "1 e a", "1 &", "1 & a", "1")
    round_.answer(NOW + 15)
    assert (round_.state, round_.number, round_.has_second) == (State.REVEALED, 1, True)
    assert round_.result.right == (True, True, True, False)
    round_.go_on()
    assert (round_.state, round_.number, round_.has_second) == (State.REVEALED, 2, False)
    assert round_.result.right == (True,) * 4
    assert len(kept) == len(set(kept)) == 2
    round_.go_on()
    assert (round_.state, round_.number) == (State.ANSWERING, 3)


def test_a_bar_without_a_partner_is_asked_alone() -> None:
    """Where one bar is left of the round, it comes alone and says so; whatever was asked, the round has its bars."""
    round_ = started(InPairs(), bars=3)
    for _ in range(2):
        round_.answer(NOW + 9)
    assert round_.upcoming.then is None
    assert "alone" in round_.upcoming.reason.words
    round_.go_on()
    round_.go_on()
    assert round_.once
    round_.answer(NOW + 30)
    assert round_.complete
    assert (round_.number, round_.state) == (3, State.REVEALED)
    round_.go_on()
    assert round_.state is State.FINISHED
