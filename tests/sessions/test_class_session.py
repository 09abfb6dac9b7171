"""A lesson's rules: nothing is shown by accident, and any room can follow the score."""

from dataclasses import replace
from typing import cast

import numpy as np
import pytest

from game.learning import Answer
from game.learning.coach import Coach
from game.sessions import SessionError
from game.sessions.lesson.ballots import Poll
from game.sessions.lesson.known import Known
from game.sessions.lesson.lesson import GUARD_SECONDS, ClassSession, Stage, Step
from game.sessions.lesson.summary import TeamSummary, mix_up_share, summarise, summary_words
from game.sessions.progress.mixups import mix_ups
from game.sessions.progress.progress import confusion_table
from shared.figures import Figure
from tests.sessions.lessons import NOW, STAGE_3, Asker, figure

BAR = "1 2 & 3 e & 4 & a"
ONE, TWO, SHORT_LONG, LONG_SHORT = figure("1"), figure("1 &"), figure("1 e &"), figure("1 & a")


def lesson(
    *teams: str, asked: tuple[int, ...] = (0, 1, 2, 3), all_teams: bool = True
) -> tuple[ClassSession, list[Answer]]:
    """A lesson on written-out bars, and what it keeps; of teams all are asked every beat, unless it is one in turn."""
    kept: list[Answer] = []
    asker = cast(Coach, Asker(BAR, "1 & 2 3 4", asked=asked))
    return ClassSession(asker, lambda _, rows: kept.extend(rows), NOW, teams, all_teams=all_teams), kept


def collecting(*teams: str, asked: tuple[int, ...] = (0, 1, 2, 3)) -> tuple[ClassSession, list[Answer]]:
    """A lesson in which the first bar was heard once and hands are being collected."""
    session, kept = lesson(*teams, asked=asked)
    session.play()
    session.collect()
    return session, kept


def hands(session: ClassSession, **counts: int) -> None:
    """Type hands for the beat at hand, and go on: A is the first figure, and so on."""
    for letter, count in counts.items():
        session.choose(STAGE_3.figures["ABCDEF".index(letter)], NOW)
        for digit in str(count):
            session.type_digit(int(digit))
    session.forward(NOW)


def test_a_lesson_by_the_space_bar_alone() -> None:
    """Play, collect, four beats, hands down, reveal, next: nine presses of one key."""
    session, _ = lesson()
    steps = [session.forward(NOW + 2 * k) for k in range(9)]
    assert steps == [
        Step.PLAY, Step.COLLECT, Step.NEXT_BEAT, Step.NEXT_BEAT, Step.NEXT_BEAT, Step.CLOSE, Step.REVEAL, Step.NEXT,
        Step.PLAY,
    ]  # fmt: skip
    assert session.number == 2


def test_a_bouncing_key_never_reveals() -> None:
    """A hundred presses within a second stop before the reveal."""
    session, kept = lesson()
    for press in range(100):
        session.forward(NOW + press * GUARD_SECONDS / 101)
    assert session.stage is Stage.READY
    assert (session.mark, kept) == (None, [])


@pytest.mark.parametrize("stage", [Stage.LISTEN, Stage.COLLECT, Stage.SHOWN, Stage.OVER])
def test_reveal_only_after_collecting(stage: Stage) -> None:
    """From any other stage a reveal is refused."""
    session, _ = lesson()
    session.stage = stage
    assert not session.may_reveal(NOW + 60)
    with pytest.raises(SessionError, match="hands have been down"):
        session.reveal(NOW + 60)


def test_hands_are_kept_as_shares() -> None:
    """Nine of twelve on the right letter of beat 1, three on another: 0.75 and 0.25, of kind class."""
    session, kept = collecting()
    hands(session, A=9, B=3)
    session.close(NOW)
    session.reveal(NOW + 2)
    assert [(row.beat, row.heard, row.said, row.share, row.kind) for row in kept] == [
        (0, "1", "1", 0.75, "class"),
        (0, "1", "1 &", 0.25, "class"),
    ]


def test_beats_without_hands_leave_no_trace() -> None:
    """Only the beats that were collected are kept; none at all when nothing was."""
    session, kept = collecting()
    session.hands.go_to(Poll(2, 0))
    session.choose(SHORT_LONG, NOW)
    session.close(NOW)
    session.reveal(NOW + 2)
    assert [(row.beat, row.said) for row in kept] == [(2, "1 e &")]
    nothing, empty = collecting()
    nothing.close(NOW)
    nothing.reveal(NOW + 2)
    assert (nothing.stage, nothing.mark, empty) == (Stage.SHOWN, None, [])


def test_answers_are_kept_before_they_are_shown() -> None:
    """Where the record fails the answer stays hidden; a second try marks nothing twice."""
    asker = Asker(BAR)
    kept: list[Answer] = []
    broken = [True]

    def keep(_question: str, rows: tuple[Answer, ...]) -> None:
        if broken[0]:
            raise OSError("disk full")
        kept.extend(rows)

    session = ClassSession(cast(Coach, asker), keep, NOW)
    session.play()
    session.collect()
    session.choose(ONE, NOW)
    session.close(NOW)
    with pytest.raises(OSError, match="disk full"):
        session.reveal(NOW + 2)
    assert session.stage is Stage.READY
    broken[0] = False
    session.reveal(NOW + 3)
    assert (len(kept), len(asker.marked)) == (1, 1)


def test_a_mistyped_count_is_taken_back() -> None:
    """12, then 4 for another letter on the next beat: three steps back leave 1 and the first beat."""
    session, _ = collecting()
    hands(session, A=12)
    session.choose(TWO, NOW)
    session.type_digit(4)
    for _ in range(3):
        session.take_back()
    assert session.hands.place == Poll(0, 0)
    assert session.hands.ballot.hands == {ONE: 1}
    assert session.hands.picks[Poll(1, 0)].hands == {}


def test_undo_opens_the_hands_again() -> None:
    """Once the hands are down, taking back leads to the count, which is as it was."""
    session, _ = collecting(asked=(0,))
    session.choose(ONE, NOW)
    assert session.stage is Stage.READY
    session.take_back()
    assert session.stage is Stage.COLLECT
    assert session.hands.ballot.hands == {ONE: 1}
    session.take_back()
    assert session.hands.ballot.hands == {}


def test_letters_go_on_by_themselves() -> None:
    """Four letters are four beats, and after the last the hands are down: eight keys a bar with play and reveal."""
    session, kept = lesson()
    keys = [session.forward(NOW), session.forward(NOW)]
    for letter in (ONE, ONE, SHORT_LONG, LONG_SHORT):
        session.choose(letter, NOW)
    assert keys == [Step.PLAY, Step.COLLECT]
    assert session.stage is Stage.READY
    assert session.forward(NOW + 2) is Step.REVEAL
    assert [(row.beat, row.said) for row in kept] == [(0, "1"), (1, "1"), (2, "1 e &"), (3, "1 & a")]
    assert session.largest_first()[0] == 1


def test_a_number_belongs_to_the_letter_before_it() -> None:
    """A 1 2 B 5: both letters are of the first beat, though the next one was on the screen; then the space bar."""
    session, _ = collecting()
    session.choose(ONE, NOW)
    assert session.hands.place == Poll(1, 0)
    session.type_digit(1)
    session.type_digit(2)
    session.choose(TWO, NOW)
    session.type_digit(5)
    assert session.hands.place == Poll(0, 0)
    assert session.hands.ballot.hands == {ONE: 12, TWO: 5}
    assert session.forward(NOW) is Step.NEXT_BEAT
    assert session.hands.place == Poll(1, 0)


def test_a_number_after_the_last_letter_opens_the_hands() -> None:
    """On the last beat a letter puts the hands down; a number typed then is still counted."""
    session, _ = collecting(asked=(0,))
    session.choose(ONE, NOW)
    session.type_digit(7)
    assert session.stage is Stage.COLLECT
    assert session.hands.ballot.hands == {ONE: 7}


def test_teams_take_turns_in_being_asked_first() -> None:
    """Brook comes first in the first bar, Beck in the second."""
    session, _ = lesson("Brook", "Beck", asked=(0, 1))
    first = []
    for _ in range(3):
        first.append(session.hands.asked[0].team)
        session.stage = Stage.SHOWN
        session.next(NOW)
    assert first == [0, 1, 0]


@pytest.mark.parametrize("count", [2, 3, 4])
@pytest.mark.parametrize("asked", [(0, 1, 2, 3), (0, 1, 2), (3,)])
def test_a_beat_is_asked_of_one_team_in_turn(count: int, asked: tuple[int, ...]) -> None:
    """As many polls as without teams; after as many bars as there are teams each was asked as often as any other."""
    teams = ("Brook", "Beck", "Marsh", "Dune")[:count]
    session, _ = lesson(*teams, asked=asked, all_teams=False)
    times = [0] * count
    for bar in range(count):
        session.question = replace(session.question, asked=asked)
        session.open_hands()
        assert [poll.beat for poll in session.hands.asked] == list(asked)
        assert session.hands.asked[0].team == bar
        for poll in session.hands.asked:
            times[poll.team] += 1
        session.stage = Stage.SHOWN
        session.next(NOW)
    assert set(times) == {len(asked)}


def test_a_team_s_own_beats_are_counted_and_kept() -> None:
    """Brook is right on beats 1 and 3, Beck wrong on 2 and right on 4: 2 of 2, 1 of 2, and four beats in the log."""
    session, kept = lesson("Brook", "Beck", all_teams=False)
    session.play()
    session.collect()
    for said in (ONE, ONE, SHORT_LONG, LONG_SHORT):
        session.choose(said, NOW)
    session.reveal(NOW + 2)
    assert (session.right, session.asked_of) == ([2, 1], [2, 2])
    assert [(row.beat, row.said, row.share) for row in kept] == [
        (0, "1", 1.0), (1, "1", 1.0), (2, "1 e &", 1.0), (3, "1 & a", 1.0),
    ]  # fmt: skip
    assert [one.teams for one in session.said(1)] == [(1,)]


def test_said_is_told_largest_first() -> None:
    """Of twelve hands two were right: what most said comes first, with its number; nothing before the reveal."""
    session, _ = collecting(asked=(0,))
    hands(session, A=2, B=7, E=3)
    with pytest.raises(SessionError, match="before the reveal"):
        session.said(0)
    session.reveal(NOW + 2)
    assert [(one.figure, one.hands) for one in session.said(0)] == [(TWO, 7), (SHORT_LONG, 3), (ONE, 2)]


def test_teams_are_told_by_what_most_of_them_said() -> None:
    """Two teams said the same, one another: figures with their teams."""
    session, _ = collecting("Brook", "Beck", "Marsh", asked=(0,))
    for letter in (TWO, ONE, TWO):
        session.choose(letter, NOW)
    session.reveal(NOW + 2)
    assert [(one.figure, one.teams) for one in session.said(0)] == [(TWO, (0, 2)), (ONE, (1,))]


def by_remote(*, presses: int, confirm: bool = True) -> tuple[ClassSession, list[Answer]]:
    """A lesson that asks one beat of a bar, led by the two keys of a remote: so many presses on "who had it"."""
    kept: list[Answer] = []
    session = ClassSession(cast(Coach, Asker(BAR, BAR)), lambda _, rows: kept.extend(rows), NOW, one_beat=True)
    steps = [session.forward(NOW + 2 * k) for k in range(4)]
    assert steps == [Step.PLAY, Step.COLLECT, Step.CLOSE, Step.REVEAL]
    for _ in range(presses):
        assert session.forward(NOW + 10) is Step.HAD
    if confirm:
        session.confirm(NOW + 11)
    return session, kept


@pytest.mark.parametrize(("presses", "share"), [(1, 0.85), (2, 0.5), (3, 0.15), (4, 0.85)])
def test_a_remote_tells_how_many_had_it(presses: int, share: float) -> None:
    """Forward steps through most, half and few, round and round; back keeps it as the share that was right."""
    session, kept = by_remote(presses=presses)
    right, others = kept
    assert (right.said, others.said, others.unsure) == (right.heard, None, True)
    assert (right.share, others.share) == pytest.approx((share, 1 - share))
    assert {row.kind for row in kept} == {"class"}
    assert (session.number, session.stage) == (2, Stage.LISTEN)


def test_nothing_is_kept_before_it_is_confirmed() -> None:
    """Who ends the lesson on "who had it" has told nothing."""
    _, kept = by_remote(presses=2, confirm=False)
    assert kept == []


def test_what_is_untold_is_neither_mix_up_nor_skip() -> None:
    """Half of the room had it: the rest is wrong, but nobody's mix-up, and no skip."""
    _, kept = by_remote(presses=2)
    table = confusion_table(STAGE_3, kept)
    heard = STAGE_3.figures.index(figure(kept[0].heard))
    assert table.counts[heard, heard] == pytest.approx(0.5)
    assert table.heard[heard] == pytest.approx(1.0)
    assert (table.skipped.sum(), mix_ups(STAGE_3.figures, kept)) == (0, ())
    assert summarise(STAGE_3, kept, kept, NOW).share_right == pytest.approx(0.5)


def test_a_guess_by_eye_moves_the_coach_less_than_hands() -> None:
    """The same share, typed as hands, weighs more."""
    coaches = []
    for rough in (False, True):
        coach = Coach(STAGE_3, seed=1)
        before = coach.recall(NOW)
        for k in range(6):
            question = coach.ask(NOW + 60 * k)
            hands_up = {question.asked_figures[0]: 3, None: 17}
            coach.mark(question.only(question.asked[:1]), [hands_up], NOW + 60 * k, kind="class", unsure=[rough])
        coaches.append(float(np.abs(coach.recall(NOW + 600) - before).sum()))
    assert coaches[1] < coaches[0]


def meeting(known: int) -> tuple[ClassSession, Known]:
    """A lesson for a class that knows so many figures of stage 3."""

    def coach_of(figures: tuple[Figure, ...], _now: float) -> Coach:
        return Coach(replace(STAGE_3, figures=figures, new=(), order=()), seed=3)

    class_knows = Known(STAGE_3, STAGE_3.figures[:known], coach_of)
    first = Coach(STAGE_3, seed=3) if known < 2 else class_knows.coach(NOW)
    return ClassSession(first, lambda *_: None, NOW, known=class_knows), class_knows


@pytest.mark.parametrize("known", [0, 1, 2, 4])
def test_nothing_is_asked_before_it_was_met(known: int) -> None:
    """Bar after bar: what is asked and offered was known, or met at the head of this bar or an earlier one."""
    session, _ = meeting(known)
    met = set(STAGE_3.figures[:known])
    for k in range(20):
        met |= set(session.meets)
        assert set(session.question.choices) <= met
        assert set(session.question.asked_figures) <= met
        assert not session.meets or set(session.meets) & set(session.question.asked_figures)
        now = NOW + 60 * k
        while session.stage is not Stage.COLLECT:
            session.forward(now)
        for one in session.question.asked_figures:
            session.choose(one, now)
        session.reveal(now + 2)
        session.next(now + 3)
    assert met == set(STAGE_3.figures)


def test_new_figures_wait_until_it_goes_well() -> None:
    """While most are wrong nothing new comes."""
    session, known = meeting(3)
    for k in range(8):
        now = NOW + 60 * k
        while session.stage is not Stage.COLLECT:
            session.forward(now)
        for one in session.question.asked_figures:
            others = [figure for figure in session.question.choices if figure != one]
            session.choose(others[0], now)
        session.reveal(now + 2)
        session.next(now + 3)
    assert len(known.figures) == 4


def test_a_figure_is_heard_alone_then_beside_one_like_it() -> None:
    """Three presses: it alone, the two in turn, to the bar."""
    session, _ = meeting(4)
    steps = [session.forward(NOW) for _ in range(4)]
    assert steps == [Step.MEET, Step.BESIDE, Step.ASK, Step.PLAY]
    assert session.sentence("C").count("C") == 1


def test_numbers_need_a_letter() -> None:
    """A number before any letter is refused."""
    session, _ = collecting()
    with pytest.raises(SessionError, match="letter first"):
        session.type_digit(3)


def test_hands_are_collected_after_a_hearing() -> None:
    """Nobody can answer a bar that was not heard."""
    session, _ = lesson()
    with pytest.raises(SessionError, match="not heard yet"):
        session.collect()


def test_hearings_after_the_reveal_do_not_count() -> None:
    """Two hearings before the reveal, one after: two are kept."""
    session, kept = collecting()
    session.play()
    session.choose(ONE, NOW)
    session.close(NOW)
    session.reveal(NOW + 2)
    session.play()
    assert session.hands.hearings == 2
    assert {row.hearings for row in kept} == {2}


def test_right_and_wrong_are_not_told_before_the_reveal() -> None:
    """Asking whether a team is right is refused while hands are collected."""
    session, _ = collecting("Brook", "Beck")
    with pytest.raises(SessionError, match="before the reveal"):
        session.team_right(Poll(0, 0))


def test_beats_of_two_teams() -> None:
    """By hand, beats 3 and 4 asked: Brook 4 of 6 then a tie, Beck 2 of 5 then all: one beat each."""
    session, kept = collecting("Brook", "Beck", asked=(2, 3))
    hands(session, E=4, F=2)  # beat 3, Brook: 1 e & is right
    hands(session, E=2, F=3)  # beat 3, Beck: most are wrong
    hands(session, E=3, F=3)  # beat 4, Brook: a tie is no answer
    hands(session, F=5)  # beat 4, Beck: 1 & a is right
    session.reveal(NOW + 2)
    assert (session.right, session.asked_of) == ([1, 1], [2, 2])
    shares = {(row.beat, row.said): row.share for row in kept}
    assert {key: round(share * 11) for key, share in shares.items()} == {
        (2, "1 e &"): 6, (2, "1 & a"): 5, (3, "1 e &"): 3, (3, "1 & a"): 8,
    }  # fmt: skip


def test_a_room_of_five_and_one_of_thirty_score_alike() -> None:
    """What counts is where most hands are: 3 of 5 and 18 of 30 count the same."""
    for few, many in ((3, 18), (2, 12)):
        session, _ = collecting("Five", "Thirty", asked=(2,))
        hands(session, E=few, F=5 - few)
        hands(session, E=many, F=30 - many)
        session.reveal(NOW + 2)
        assert session.right[0] == session.right[1] == int(few == 3)


@pytest.mark.parametrize("teams", [("Brook",), ("Brook", "Brook"), tuple("abcdefg")])
def test_teams_must_make_sense(teams: tuple[str, ...]) -> None:
    """One team alone, two of the same name or seven are refused."""
    with pytest.raises(SessionError, match="give 2 to 6 different names"):
        lesson(*teams)


def test_the_real_coach_learns_from_the_class() -> None:
    """What the class takes for something else is asked again: with Drumlin's own coach."""
    kept: list[Answer] = []
    session = ClassSession(Coach(STAGE_3, seed=1), lambda _, rows: kept.extend(rows), NOW)
    reasons = []
    for number in range(12):
        now = NOW + 60 * number
        session.play()
        session.collect()
        for beat in session.question.bar.figures:
            session.choose({SHORT_LONG: LONG_SHORT, LONG_SHORT: SHORT_LONG}.get(beat, beat), now)
        session.reveal(now + 2)
        session.next(now + 3)
        reasons.append(session.question.reason)
    pair = [reason for reason in reasons[-6:] if {figure.count for figure in reason.figures} == {"1 e &", "1 & a"}]
    assert len(pair) >= 3
    assert {reason.kind for reason in pair} == {"mixed up"}


def test_summary_by_hand() -> None:
    """One bar, beats 1 and 3: all of ten right, 4 of 10 right: 70 % of the hands; one mix-up, of 0.6 of a room."""
    session, kept = collecting()
    hands(session, A=10)
    session.hands.go_to(Poll(2, 0))
    hands(session, E=4, F=6)
    session.close(NOW)
    session.reveal(NOW + 2)
    summary = summarise(STAGE_3, kept, kept * 3, NOW + 60)
    assert (summary.bars, summary.beats) == (1, 2)
    assert summary.share_right == pytest.approx(0.7)
    assert [(row.heard, row.said, row.times) for row in summary.mix_ups] == [(SHORT_LONG, LONG_SHORT, 0.6)]
    assert mix_up_share(summary.mix_ups[0]) == "60% in 1 beat"
    assert mix_up_share(replace(summary.mix_ups[0], answers=3.0)) == "20% in 3 beats"
    assert [step.figures for step in summary.next_lesson] == [(SHORT_LONG, LONG_SHORT)]


def test_the_share_of_teams_is_the_count_of_their_lines() -> None:
    """Three beats, the last left out by the second team: 1 of 5 is 20 %, though one beat of three was right."""
    session, kept = lesson("Brook", "Beck", asked=(0, 1, 2))
    session.play()
    session.collect()
    for beat, team, right in ((0, 0, False), (0, 1, False), (1, 0, False), (1, 1, False), (2, 0, True)):
        session.hands.go_to(Poll(beat, team))
        heard = session.question.bar.figures[beat]
        session.choose(heard if right else next(one for one in STAGE_3.figures if one != heard), NOW)
    session.close(NOW)
    session.reveal(NOW + 2)
    teams = [TeamSummary(*row) for row in zip(session.teams, session.right, session.asked_of, strict=True)]
    summary = summarise(STAGE_3, kept, kept, NOW + 60, [*teams, TeamSummary("Fen", 0, 0)])
    assert [str(team) for team in summary.teams] == [
        "Brook: 1 of 3 right.",
        "Beck: 0 of 2 right.",
        "Fen: no hands.",
    ]
    assert summary_words(summary) == "1 bar, 3 beats: 20% of 5 answers right."


def test_a_lesson_without_hands_has_no_share() -> None:
    """Nothing collected, nothing claimed."""
    assert summarise(STAGE_3, [], [], NOW).share_right is None


def test_after_the_end_nothing_is_played() -> None:
    """A lesson that is over plays nothing, and the space bar does nothing."""
    session, _ = collecting()
    session.end()
    assert session.forward(NOW) is Step.NOTHING
    with pytest.raises(SessionError, match="the lesson is over"):
        session.play()


def test_undo_with_nothing_typed_changes_nothing() -> None:
    """Taking back before anything was typed leaves the beat that was gone to."""
    session, _ = collecting()
    session.hands.go_to(Poll(2, 0))
    session.take_back()
    assert (session.hands.place.beat, session.stage, session.hands.ballot.hands) == (2, Stage.COLLECT, {})


@pytest.mark.parametrize("beat", [-1, 4])
def test_only_asked_beats_are_gone_to(beat: int) -> None:
    """Of four beats there is none before the first and none after the last."""
    session, _ = collecting()
    session.hands.go_to(Poll(beat, 0))
    assert session.hands.place == Poll(0, 0)


def test_arrows_go_round_the_polls_only_while_hands_are_up() -> None:
    """From the first beat one step back is the last; before hands are collected nothing moves."""
    session, _ = lesson("Brook", "Beck", asked=(1, 3))
    session.step(-1)
    assert session.hands.place == Poll(1, 0)
    session.play()
    session.collect()
    session.step(-1)
    assert session.hands.place == Poll(3, 1)


def test_figures_of_other_levels_get_no_hands() -> None:
    """A figure that is not on offer is refused, and nothing is written."""
    session, _ = collecting()
    with pytest.raises(SessionError, match="1 trip let is not asked here"):
        session.choose(figure("1 trip let"), NOW)
    assert session.hands.ballot.hands == {}


def test_a_lesson_in_a_sentence() -> None:
    """The sentence counts bars and beats, one as one; without hands it says so."""
    session, kept = collecting()
    hands(session, A=3, B=1)
    session.close(NOW)
    session.reveal(NOW + 2)
    later = [replace(row, at=row.at + 60, beat=beat) for row in kept for beat in (0, 1)]
    told = [summary_words(summarise(STAGE_3, rows, [], NOW)) for rows in ([], kept, [*kept, *later])]
    assert told == [
        "No answers were collected in this lesson.",
        "1 bar, 1 beat: 75% right.",
        "2 bars, 3 beats: 75% right.",
    ]
