"""``python -m tests.bench.lesson``: a plausible lesson of ten bars, its key presses, and what is left of ten minutes.

Each bar is heard twice, at 9 seconds a hearing, and each poll takes 5 seconds (judged by trying, no source); what is
left is for the reveals: both figures in turn, the sentence, a word of the teacher's.
"""

from dataclasses import dataclass

from game.learning import Answer
from game.learning.coach import Coach
from game.sessions.lesson.lesson import ClassSession, Stage, Step
from shared.levels import find_level

BARS, HEARINGS = 10, 2
HEARING, POLL, PRESS, MINUTES = 9.0, 5.0, 0.5, 10.0
"""Seconds of a hearing, a poll and a key press; the minutes of the lesson."""


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


def held(level: str = "stage-4", teams: tuple[str, ...] = (), one_beat: bool = False, at_once: bool = False) -> Lesson:
    """Hold a lesson by keys, on a clock of its own; every poll is answered by a letter.

    Teams show their letters one after the other, or all of them ``at_once``, so that a beat is one poll.
    """
    kept: list[Answer] = []
    now = 1e9
    coach = Coach(find_level(level), seed=5)
    session = ClassSession(coach, lambda _, rows: kept.extend(rows), now, teams, one_beat=one_beat)
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
                    now += HEARINGS * HEARING + (HEARINGS - 1) * PRESS
        presses.append(count)
    return Lesson(presses, now - start, len(kept))


def main() -> None:
    """Print a table."""
    print(f"{BARS} bars, {HEARINGS} hearings of {HEARING:.0f} s each, {POLL:.0f} s a poll")
    ways = {
        "one room": held(),
        "teams in turn": held(teams=("Brook", "Hill")),
        "teams at once": held(teams=("Brook", "Hill"), at_once=True),
        "one beat, by remote": held(one_beat=True),
    }
    for name, lesson in ways.items():
        minutes, seconds = divmod(abs(round(lesson.left)), 60)
        sign = "-" if lesson.left < 0 else ""
        each = lesson.left / BARS
        print(
            f"{name:20} {max(lesson.presses):3} presses a bar, {sign}{minutes}:{seconds:02} left, {each:.0f} s a reveal"
        )


if __name__ == "__main__":
    main()
