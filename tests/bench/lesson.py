"""``python -m tests.bench.lesson``: a plausible lesson of ten bars, its key presses, and what is left of ten minutes.

The seconds of a hearing, a poll and a key press are those by which the page before a lesson says how long it takes.
What is left is for the reveals: both figures in turn, the sentence, a word of the teacher's.
"""

from dataclasses import dataclass

from game.learning import Answer
from game.learning.coach import Coach
from game.sessions.lesson.duration import BARS, HEARINGS, MINUTES, POLL, PRESS, REVEAL, hearing_seconds
from game.sessions.lesson.lesson import ClassSession, Stage, Step
from shared.levels import find_level

LEVEL = "stage-4"

TWO, FOUR = ("Brook", "Hill"), ("Brook", "Hill", "Marsh", "Dune")


@dataclass
class Lesson:
    """What became of it: key presses of each bar without further hearings, and the seconds that all took."""

    presses: list[int]
    seconds: float
    kept: int

    @property
    def left(self) -> float:
        """The seconds that are left of the ten minutes."""
        return 60 * MINUTES - self.seconds


def held(teams: tuple[str, ...] = (), one_beat: bool = False, all_teams: bool = False, at_once: bool = False) -> Lesson:
    """Hold a lesson by keys, on a clock of its own; every poll is answered by a letter.

    Where ``all_teams`` are asked each beat, they show their letters one after the other, or all of them ``at_once``,
    so that a beat is one poll.
    """
    kept: list[Answer] = []
    now = 1e9
    level = find_level(LEVEL)
    session = ClassSession(
        Coach(level, seed=5), lambda _, rows: kept.extend(rows), now, teams, one_beat=one_beat, all_teams=all_teams
    )
    presses = []
    start = now
    for _ in range(BARS):
        count = 0
        while session.number == len(presses) + 1:
            now += PRESS
            count += 1
            if session.stage is Stage.COLLECT and not one_beat:
                first = session.hands.place == next(iter(session.hands.of_beat(session.hands.place.beat)))
                now += POLL if first or not at_once else 0.0
                session.choose(session.question.bar.figures[session.hands.place.beat], now)
            elif session.stage is Stage.HAD:
                session.confirm(now)
            else:
                # The second of silence after the hands are down passes with the last poll.
                now += POLL if session.stage is Stage.COLLECT else 1.0 if session.stage is Stage.READY else 0.0
                if session.forward(now) is Step.PLAY:
                    now += HEARINGS * hearing_seconds(level) + (HEARINGS - 1) * PRESS
        presses.append(count)
    return Lesson(presses, now - start, len(kept))


def ways() -> dict[str, Lesson]:
    """A lesson of each kind."""
    return {
        "one room": held(),
        "two teams": held(TWO),
        "four teams": held(FOUR),
        "two, all asked, in turn": held(TWO, all_teams=True),
        "two, all asked, at once": held(TWO, all_teams=True, at_once=True),
        "by remote alone": held(one_beat=True),
    }


def main() -> None:
    """Print a table."""
    hearing = hearing_seconds(find_level(LEVEL))
    print(
        f"{BARS} bars of {LEVEL}, {HEARINGS} hearings of {hearing:.1f} s, {POLL:.0f} s a poll, {REVEAL:.0f} s a reveal"
    )
    for name, lesson in ways().items():
        minutes, seconds = divmod(abs(round(lesson.left)), 60)
        sign = "-" if lesson.left < 0 else ""
        each = lesson.left / BARS
        fits = "fits" if each >= REVEAL else f"{round((REVEAL - each) * BARS)} s too long"
        print(
            f"{name:24} {max(lesson.presses):3} presses a bar, {sign}{minutes}:{seconds:02} left, "
            f"{each:.0f} s a reveal: {fits}"
        )


if __name__ == "__main__":
    main()
