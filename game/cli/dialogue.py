"""The quiz in the terminal: plays each question, reads each typed reply, prints everything in words."""

from collections.abc import Callable, Iterator
from typing import Protocol

from game.cli.explain import beat_explained
from game.cli.replies import Said, counts, read_answer, strangers
from game.learning.question import Question
from game.service import Service
from game.sessions.hearing.hearing import as_answered, beat_alone, two_bars
from game.sessions.hearing.listening import USUAL, Listening
from game.sessions.practice.meeting import Meeting
from game.sessions.practice.round import PracticeRound
from shared.bars import Bar
from shared.counting import CountError, put_back
from shared.levels import Level, spelling_in
from shared.names import note_names
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Passage
from shared.sticking import STICKINGS

LETTERS = {
    "r": "again", "s": "slower", "b": "beat", "h": "help", "?": "help", "q": "quit", "m": "mine",
    "f": "figures", "e": "explain", "o": "other", "k": "known", "n": "not sure",
}  # fmt: skip
"""Short forms of the words."""

HELP = """\
Answer with the whole bar as you count it, such as: 1 e a 2 & (3) 4 & a
What is counted but not played stands in brackets; (3) is a silent beat.
The asked beats alone will do, such as 2 e a; where one beat is asked, its figure.
Words: again (r), slower (s), beat N (b N): hear the bar, slower, or one beat.
figures (f): the figures to choose from. skip: no answer. quit (q): end here.
not sure (n): an answer as well; for one beat of several write 2 ?
When a figure is met: Enter to be asked; again and slower; other (o): it and the other one in turn; known (k): you
have heard it before.
After an answer: Enter for the next bar; mine (m): hear the bar as you answered it; explain (e): the notes of each
beat; explain N (e N): names, spellings and syllables of one; and again, slower, beat N as before."""


class Leaving(Exception):  # noqa: N818
    """The player ends the quiz."""


class Playback(Protocol):
    """A device that plays a passage."""

    def play(self, passage: Passage) -> None:
        """Play a passage and come back when it is over."""


class Dialogue:
    """Asks for each bar's answer.

    ``tell`` says a line, ``listen`` returns the next typed line or None at the end of the input.
    """

    def __init__(
        self, service: Service, loudspeaker: Playback, tell: Callable[[str], None], listen: Callable[[], str | None]
    ) -> None:
        self._service = service
        self._loudspeaker = loudspeaker
        self._tell = tell
        self._listen = listen

    def knows_some(self) -> bool:
        """Ask whether the level is new to the player.  Raises ``Leaving``."""
        while (reply := self._reply("Is all of this new to you? Enter: yes; known (k): I know some of it:")) != "":
            if reply == "known":
                return True
            self._tell(HELP if reply == "help" else f"{reply[:40]!r} is no word here; Enter or known, ? is help.")
        return False

    def meet(self, meeting: Meeting) -> bool:
        """Tell of a new figure and let it be heard until the player goes on.  Raises ``Leaving``."""
        # At the level's slowest and on one drum: there a new figure is easiest to hear.
        plain = Setting(tempo=self._service.level.tempo.low)
        setting, slower = (self._service.heard(plain, listening) for listening in (USUAL, USUAL.slower))
        for line in meeting_lines(meeting, self._service):
            self._tell(line)
        hearings = {"again": meeting.alone(setting), "slower": meeting.alone(slower)}
        words = "Enter for the next one; again, slower or known:"
        if not meeting.first:
            hearings["other"] = meeting.beside(setting)
            words = "Enter to be asked; again, slower, other or known:"
        self._loudspeaker.play(hearings["again" if meeting.first else "other"].passage)
        while (reply := self._reply(words)) not in ("", "known"):
            if reply in hearings:
                self._loudspeaker.play(hearings[reply].passage)
            else:
                self._tell(HELP if reply == "help" else f"{reply[:40]!r} is no word here; Enter goes on, ? is help.")
        return reply == "known"

    def answer(self, practised: PracticeRound) -> Said | None:
        """Play the question and read replies until there is an answer; None where it is skipped.

        Raises ``Leaving`` where the player ends the quiz.
        """
        question = practised.question
        for line in asking_lines(practised, self._service.level):
            self._tell(line)
        if practised.second:
            return self._said(practised, question, "Your count of the second bar:", "skip")
        self._hear(practised, self._asked_passage(question))
        prompt = "Your count of the first bar:" if question.then else "Your count:"
        return self._said(practised, question, prompt, "skip")

    def again(self, practised: PracticeRound) -> Said | None:
        """Say which beats were not right, and read another answer to them; None where there is none.

        Raises ``Leaving`` where the player ends the quiz.
        """
        sheet = practised.sheet
        question = practised.question.only(sheet.asked)
        beats = ", ".join(str(place + 1) for place in sheet.asked)
        self._tell(f"Not right: beat {beats}." if len(sheet.asked) == 1 else f"Not right: beats {beats}.")
        while True:
            said = self._said(practised, question, "Once more, or Enter to be told:", "")
            refused = [
                # Where nothing was said there is nothing to be refused: Enter alone goes to the reveal.
                f"beat {place + 1} is not {self._service.level.named(figure, place + 1)}"
                for place, figure in zip(sheet.asked, said or (), strict=False)
                if figure is not None and sheet.refused.get(place) == figure
            ]
            if not refused:
                return said
            told = ", ".join(refused)
            self._tell(f"{told[0].upper()}{told[1:]}: say another figure there.")

    def _said(self, practised: PracticeRound, question: Question, prompt: str, leave_out: str) -> Said | None:
        """Read replies until there is an answer to a question; None for the one that leaves it out."""
        while (reply := self._reply(prompt)) != leave_out:
            if reply == "not sure":
                return (None,) * len(question.asked)
            if not self._heard(practised, reply):
                said = self._figures(reply, question)
                if said:
                    return said
        return None

    def revealed(self, practised: PracticeRound) -> None:
        """After the reveal: hear and be told things until the player goes on.  Raises ``Leaving``."""
        ends = practised.complete and not practised.has_second
        following = "the score" if ends else "the second bar" if practised.has_second else "the next bar"
        while reply := self._reply(f"Enter for {following}, or ? for help:"):
            if reply == "mine":
                self._play_answer(practised)
            elif reply.partition(" ")[0] == "explain":
                self._explain(practised.question, reply.partition(" ")[2])
            elif not self._heard(practised, reply):
                # Cut short: a page that was pasted by mistake must not fill the terminal a second time.
                self._tell(f"{reply[:40]!r} is no word here; Enter goes on, ? is help.")

    def _explain(self, question: Question, number: str) -> None:
        """Name every beat in a line, or say all that is known of one."""
        bar, service = question.bar, self._service
        if number.strip() in map(str, range(1, bar.meter.beats + 1)):
            for line in beat_explained(
                bar, int(number), service.settings.hand, question.setting.tempo, service.settings.terms,
                service.level.shown,
            ):  # fmt: skip
                self._tell(line)
            return
        hands = STICKINGS[service.settings.sticking](bar, service.settings.hand)
        for place, (figure, its_hands) in enumerate(zip(bar.figures, hands, strict=True), 1):
            names = note_names(spelling_in(service.level, figure), service.settings.terms)
            told = f"Beat {place}: {service.level.named(figure, place)}", names, " ".join(its_hands)
            self._tell("; ".join(filter(None, told)))
        self._tell("explain N (e N) says more of one beat.")

    def _play_answer(self, practised: PracticeRound) -> None:
        question = practised.question
        said = dict(zip(question.asked, practised.result.said, strict=True))
        self._loudspeaker.play(self._passage(question, as_answered(question.bar, said)))

    def _asked_passage(self, question: Question) -> Passage:
        """The passage that sounds before a question is answered: its bar, or two in a row."""
        if question.then is None:
            return self._passage(question, question.bar)
        first, second = (self._service.heard(one.setting) for one in (question, question.then))
        return two_bars(question.bar, question.then.bar, first, second).passage

    def _passage(self, question: Question, bar: Bar, listening: Listening = USUAL) -> Passage:
        """A bar as the question sets it and as this player hears it."""
        return arrange(bar, self._service.heard(question.setting, listening))

    def _heard(self, practised: PracticeRound, reply: str) -> bool:
        """Do what a word asks for; False where it is none."""
        question = practised.question
        if reply == "help":
            self._tell(HELP)
        elif reply == "figures":
            self._tell(f"To choose from: {counts(question.choices, self._service.level)}")
        elif practised.once and reply.partition(" ")[0] in ("again", "slower", "beat"):
            self._tell("This bar sounds once only. n is not sure.")
        elif reply == "again":
            self._hear(practised, self._passage(question, question.bar))
        elif reply == "slower":
            self._hear(practised, self._passage(question, question.bar, USUAL.slower), slower=True)
        elif reply.partition(" ")[0] == "beat":
            self._hear_beat(practised, reply.partition(" ")[2])
        else:
            # An empty line is no word, but no answer either: it is passed over.
            return not reply
        return True

    def _hear(self, practised: PracticeRound, passage: Passage, beat: int | None = None, slower: bool = False) -> None:
        # Noted before it sounds, for the loudspeaker comes back only once it is over.
        practised.sheet.hear(self._service.now(), passage.seconds, beat, slower)
        self._loudspeaker.play(passage)

    def _hear_beat(self, practised: PracticeRound, number: str) -> None:
        question = practised.question
        asked = [str(place + 1) for place in question.asked]
        if number.strip() in asked:
            beat = int(number)
            self._hear(practised, beat_alone(self._passage(question, question.bar), beat), beat - 1)
        else:
            self._tell(f"Which beat? Say beat and one of: {', '.join(asked)}")

    def _figures(self, reply: str, question: Question) -> Said | None:
        level = self._service.level
        meant = put_back(reply, level.shown, level.meter.compound)
        if meant != reply:
            self._tell(f"Read as: {meant}")
        try:
            figures = read_answer(meant, question)
        except CountError as error:
            self._tell(f"{error}. Try again, or ? for help.")
            return None
        if others := strangers(figures, question):
            choices = counts(question.choices, level)
            self._tell(f"{counts(others, level)}: not one of the figures to choose from: {choices}")
            return None
        return figures

    def _reply(self, prompt: str) -> str:
        """The next reply, short forms made long.  Raises ``Leaving`` for ``quit`` or the end of the input."""
        self._tell(prompt)
        line = self._listen()
        # At the end of the input nobody answers any more: without this the same prompt would be printed for ever.
        word, space, rest = ("quit" if line is None else line.strip()).partition(" ")
        word = LETTERS.get(word.lower(), word.lower())
        if word == "quit":
            raise Leaving
        return word + space + rest


def meeting_lines(meeting: Meeting, service: Service) -> Iterator[str]:
    """The lines that tell of a figure when it is met."""
    figure, level, settings = meeting.figure, service.level, service.settings
    named = level.named(figure)
    hands = STICKINGS[settings.sticking](Bar(meeting.meter, (figure,) * meeting.meter.beats), settings.hand)[0]
    yield ""
    yield f"Once more: {named}." if meeting.again else f"New: {named}."
    if hands:
        yield f"It is played {' '.join(hands)}."
    yield f"It is written {note_names(spelling_in(level, figure), settings.terms)}."
    if word := level.words.get(figure):
        yield f"A word for it: {word}."
    if meeting.first:
        # The other one is not known yet: it is met next, and then the two are told apart.
        yield "Next comes one that is like it."
    else:
        yield f"{named} beside {level.named(meeting.rival)}: {meeting.sentence(level)}"


def asking_lines(practised: PracticeRound, level: Level) -> Iterator[str]:
    """The lines that tell of a question before it sounds."""
    question = practised.question
    setting = question.setting
    yield ""
    yield f"Bar {practised.number} of {practised.bars}."
    if practised.second:
        yield "It sounded right after the first."
        return
    before = ["a bar counted in by sticks"] if setting.count_in else []
    if setting.groove_bars:
        before.append("a bar of groove" if setting.groove_bars == 1 else f"{setting.groove_bars} bars of groove")
    asked = question.asked
    beats = ", ".join(str(place + 1) for place in asked)
    wanted = f"Name beat {beats}." if len(asked) == 1 else f"Name beats {beats}."
    lead_in = f" After {' and '.join(before)}." if before else ""
    yield f"{wanted} {setting.tempo:g} beats a minute.{lead_in}"
    if question.then:
        yield f"Two bars in a row, heard once: name this one, then bar {practised.number + 1}."
    elif practised.once:
        yield "It sounds once."
    places = ORCHESTRATIONS[setting.orchestration].asked(question.bar.meter)
    # The beats that are given: on the page they are engraved, and here they must be told.
    if len(asked) < len(places):
        words = (f"{k + 1} ?" if k in asked else level.named(question.bar.figures[k], k + 1) for k in places)
        yield f"The bar: {' '.join(words)}"
    if len(question.choices) < len(level.figures):
        yield f"To choose from: {counts(question.choices, level)}"
