"""The quiz as a talk in the terminal: every question heard, every reply read, everything said in words."""

from collections.abc import Callable, Iterator
from typing import Protocol

from game.cli.explain import explained
from game.cli.replies import counts, read_figures, strangers
from game.learning.question import Question
from game.service import Service
from game.sessions.hearing.hearing import as_answered, beat_alone
from game.sessions.hearing.listening import USUAL, Listening
from game.sessions.practice.round import PracticeRound
from shared.bars import Bar
from shared.counting import CountError
from shared.figures import Figure
from shared.orchestration import arrange
from shared.passages import Passage

LETTERS = {
    "r": "again", "s": "slower", "b": "beat", "h": "help", "?": "help", "q": "quit", "m": "mine",
    "f": "figures", "e": "explain",
}  # fmt: skip
"""Short forms of the words."""

HELP = """\
Answer with the whole bar as you count it, such as: 1 e a 2 & (3) 4 & a
What is counted but not played stands in brackets; (3) is a silent beat.
Where one beat is asked, its figure alone will do.
Words: again (r), slower (s), beat N (b N): hear the bar, slower, or one beat.
figures (f): the figures of this level. skip: no answer. quit (q): end here.
After an answer: Enter for the next bar; mine (m): hear the bar as you answered it; explain (e): names, spellings
and syllables of each beat; and again, slower, beat N as before."""


class Leaving(Exception):  # noqa: N818
    """The player ends the quiz."""


class Loudspeaker(Protocol):
    """What sounds."""

    def play(self, passage: Passage) -> None:
        """Play a passage and come back when it is over."""


class Dialogue:
    """Asks for each bar's answer.

    ``tell`` says a line, ``listen`` returns the next typed line or None at the end of the input.
    """

    def __init__(
        self, service: Service, loudspeaker: Loudspeaker, tell: Callable[[str], None], listen: Callable[[], str | None]
    ) -> None:
        self._service = service
        self._loudspeaker = loudspeaker
        self._tell = tell
        self._listen = listen

    def answer(self, practised: PracticeRound) -> tuple[Figure, ...] | None:
        """Play the question and read replies until there is an answer; None where it is skipped.

        Raises ``Leaving`` where the player ends the quiz.
        """
        question = practised.question
        for line in asking_lines(practised):
            self._tell(line)
        self._hear(practised, self._passage(question, question.bar))
        while True:
            reply = self._reply("Your count:")
            if reply == "skip":
                return None
            if not self._heard(practised, reply):
                figures = self._figures(reply, question)
                if figures:
                    return figures

    def revealed(self, practised: PracticeRound) -> None:
        """After the reveal: hear and be told things until the player goes on.  Raises ``Leaving``."""
        following = "the score" if practised.complete else "the next bar"
        while reply := self._reply(f"Enter for {following}, or ? for help:"):
            if reply == "mine":
                self._play_answer(practised)
            elif reply == "explain":
                question = practised.question
                for line in explained(question.bar, self._service.settings.hand, question.setting.tempo):
                    self._tell(line)
            elif not self._heard(practised, reply):
                self._tell(f"{reply[:40]!r} is no word here; Enter goes on, ? is help.")

    def _play_answer(self, practised: PracticeRound) -> None:
        question = practised.question
        said = dict(zip(question.asked, practised.result.said, strict=True))
        self._loudspeaker.play(self._passage(question, as_answered(question.bar, said)))

    def _passage(self, question: Question, bar: Bar, listening: Listening = USUAL) -> Passage:
        """A bar as the question sets it and as this player hears it."""
        return arrange(bar, self._service.heard(question.setting, listening))

    def _heard(self, practised: PracticeRound, reply: str) -> bool:
        """Do what a word asks for; False where it is none."""
        question = practised.question
        if reply == "help":
            self._tell(HELP)
        elif reply == "figures":
            self._tell(f"The figures: {counts(question.choices)}")
        elif reply == "again":
            self._hear(practised, self._passage(question, question.bar))
        elif reply == "slower":
            self._hear(practised, self._passage(question, question.bar, USUAL.slower))
        elif reply.partition(" ")[0] == "beat":
            self._hear_beat(practised, reply.partition(" ")[2])
        else:
            return not reply
        return True

    def _hear(self, practised: PracticeRound, passage: Passage) -> None:
        practised.hear(self._service.now(), passage.seconds)
        self._loudspeaker.play(passage)

    def _hear_beat(self, practised: PracticeRound, number: str) -> None:
        question = practised.question
        asked = [str(place + 1) for place in question.asked]
        if number.strip() in asked:
            self._hear(practised, beat_alone(self._passage(question, question.bar), int(number)))
        else:
            self._tell(f"Which beat? Say beat and one of: {', '.join(asked)}")

    def _figures(self, reply: str, question: Question) -> tuple[Figure, ...] | None:
        try:
            figures = read_figures(reply, question)
        except CountError as error:
            self._tell(f"{error}. Try again, or ? for help.")
            return None
        if others := strangers(figures, question):
            self._tell(f"{counts(others)}: not in this level. Its figures: {counts(question.choices)}")
            return None
        return figures

    def _reply(self, prompt: str) -> str:
        """The next reply, short forms made long.  Raises ``Leaving`` for ``quit`` or the end of the input."""
        self._tell(prompt)
        line = self._listen()
        word, space, rest = ("quit" if line is None else line.strip()).partition(" ")
        word = LETTERS.get(word.lower(), word.lower())
        if word == "quit":
            raise Leaving
        return word + space + rest


def asking_lines(practised: PracticeRound) -> Iterator[str]:
    """What is said before a question sounds."""
    question = practised.question
    setting = question.setting
    yield ""
    yield f"Bar {practised.number} of {practised.bars}."
    before = ["a bar of sticks"] * setting.count_in
    if setting.groove_bars:
        before.append("a bar of groove" if setting.groove_bars == 1 else f"{setting.groove_bars} bars of groove")
    asked = question.asked
    beats = ", ".join(str(place + 1) for place in asked)
    wanted = f"Name beat {beats}." if len(asked) == 1 else f"Name beats {beats}."
    lead_in = f" After {' and '.join(before)}." if before else ""
    yield f"{wanted} {setting.tempo:g} beats a minute.{lead_in}"
