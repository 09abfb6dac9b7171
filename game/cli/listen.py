"""``drumlin listen``: the quiz in the terminal."""

import argparse
import sys
import time
from collections.abc import Callable, Sequence
from contextlib import ExitStack
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, Protocol

from audio.sound import Sound
from game.cli.arguments import add_data_dir, add_json, add_level, add_player, number, positive, print_json, whole
from game.cli.dialogue import Dialogue, Leaving
from game.cli.keeping import opened_records
from game.cli.replies import Said, counts, words_told
from game.cli.reveal import described, reveal_lines, round_lines
from game.cli.script import Script, answers_in
from game.data_folder import data_folder
from game.learning import Mark, Question
from game.learning.coach import Coach
from game.learning.introduction import BEGINNINGS, SOUND_OUT, STEP_BY_STEP
from game.records import Records, Round
from game.service import Service, found_or_added
from game.sessions.practice.ahead import next_aim
from game.sessions.practice.asker import MarkedByCoach
from game.sessions.practice.meeting import Meeting, beginning, meetings
from game.sessions.practice.round import BARS, PracticeRound
from game.sessions.practice.scoring import points_of
from shared.errors import UserError
from shared.figures import Figure
from shared.passages import Passage, check_tempo

CARE = (
    "Set the volume low first. Take breaks; rest when ears or wrists tire. This is practice, not the exam board's word."
)


def add(parser: argparse.ArgumentParser) -> None:
    """Declare the command."""
    add_level(parser)
    add_player(parser)
    add_data_dir(parser)
    parser.add_argument("--questions", type=positive, default=10, metavar="N", help="how many bars (10)")
    parser.add_argument("--tempo", type=number, metavar="N", help="beats a minute for every bar, 20 to 400")
    parser.add_argument(
        "--begin", choices=[way.replace(" ", "-") for way in BEGINNINGS],
        help="new figures step by step (as usual), sounded out where some are known, or all at once",
    )  # fmt: skip
    parser.add_argument("--seed", type=whole, metavar="N", help="settles what is random")
    parser.add_argument("--answers", metavar="FILE", help="read one bar's answer a line; nothing sounds")
    parser.add_argument("--no-record", action="store_true", help="keep no record of the answers")
    add_json(parser, "each question, answer and mark, a line each,")
    parser.set_defaults(run=run, json=False)


class NoInputError(UserError):
    """The standard input is closed, and no file has the answers.  The message says what would do."""


class Answerer(Protocol):
    """Where answers come from: a talk in the terminal, or a file."""

    def knows_some(self) -> bool:
        """Whether the player knows some figures of a level on which nothing was asked yet."""

    def meet(self, meeting: Meeting) -> bool:
        """Let a new figure be met; whether the player had heard it before."""

    def answer(self, practised: PracticeRound) -> Said | None:
        """The answer to the question at hand; None where it is skipped."""

    def again(self, practised: PracticeRound) -> Said | None:
        """A second answer, to the beats that were not right; None where there is none."""

    def revealed(self, practised: PracticeRound) -> None:
        """Called after the reveal; returns when the next question may come."""


def run(options: argparse.Namespace) -> int:
    """Ask, mark, keep, reveal; then the score."""
    if options.tempo is not None:
        check_tempo(options.tempo)
    # A program that was built without a console has no input at all.
    if not options.answers and sys.stdin is None:
        raise NoInputError("there is no input to answer from; start it in a terminal, or give a file with --answers")
    with ExitStack() as stack:
        lines = answers_in(Path(options.answers)) if options.answers else None
        service, tell = _opened(options, stack)
        answerer = _dialogue(service, tell) if lines is None else Script(Path(options.answers), lines, service.level)
        try:
            quiz = _quiz(options, service, tell, answerer)
        except Leaving:
            return 0
        try:
            quiz.run(answerer)
        except Leaving:
            # Whoever leaves early still gets the score of the bars that were answered.
            tell("")
        quiz.finish()
    return 0


@dataclass
class Quiz:
    """A round in the terminal.  ``tell`` says a line to the player, ``show`` prints a line of JSON."""

    service: Service
    practised: PracticeRound
    tell: Callable[[str], None]
    show: Callable[[dict[str, Any]], None] | None

    def run(self, answerer: Answerer) -> None:
        """Every bar of the round."""
        practised = self.practised
        first: tuple[int, Said | None] = (0, None)
        while not practised.complete:
            number = practised.number
            self._meet(answerer)
            figures = answerer.answer(practised)
            self._say(figures)
            practised.answer(self.service.now())
            # The first of two bars that sounded in a row: both are answered before either is revealed.
            if practised.second:
                first = number, figures
                continue
            if practised.answering:
                self._say(answerer.again(practised))
                practised.answer(self.service.now())
            if practised.has_second:
                self._reveal(answerer, *first)
            self._reveal(answerer, number, figures)

    def _reveal(self, answerer: Answerer, number: int, figures: Said | None) -> None:
        """Tell what became of a bar, and go on."""
        practised = self.practised
        if self.show:
            self.show(described(number, practised.result, figures))
        for line in reveal_lines(practised.result, self.service.settings, self.service.level):
            self.tell(line)
        if practised.upcoming and not practised.has_second:
            self.tell(f"Next: {practised.upcoming.reason.told(self.service.level.as_shown)}")
        answerer.revealed(practised)
        practised.go_on()

    def _meet(self, answerer: Answerer) -> None:
        """Let the new figures be met; a player who knows them all is asked among all figures met so far."""
        heard_before = [answerer.meet(meeting) for meeting in meetings(self.practised.question)]
        if heard_before and all(heard_before):
            self.practised.heard_before()

    def _say(self, said: Said | None) -> None:
        """Write on the sheet what was said to its beats; a figure that is not on offer is no answer."""
        sheet = self.practised.sheet
        # Where nothing was said every beat stays open; an answer has something for each.
        for place, figure in zip(sheet.asked, said or (), strict=said is not None):
            sheet.go_to(place)
            if figure is None:
                sheet.not_sure()
            else:
                sheet.pick(figure)

    def finish(self) -> None:
        """The score; a whole round of the usual length counts for the personal best."""
        practised, service = self.practised, self.service
        if not practised.results:
            return
        for line in round_lines(practised, service.level):
            self.tell(line)
        if practised.complete:
            self._tell_aim()
        if practised.complete and practised.bars == BARS:
            best = service.keep_round(practised)
            self.tell(_best_line(practised, best))

    def _tell_aim(self) -> None:
        level = self.service.level
        aim = next_aim(self.practised, level)
        named = " and ".join(map(level.named, aim.figures))
        self.tell(f"To aim at next: {named}: {aim.words}" if named else f"To aim at next: {aim.words}")


def _best_line(practised: PracticeRound, best: Round | None) -> str:
    if best is None or practised.score > best.score:
        return "Your best round of this level so far, of as many beats."
    earned, possible = points_of(best.score, best.beats)
    return f"Your best round of this level, of as many beats: {earned} of {possible} points."


class _Examiner(MarkedByCoach):
    """The coach as a round asks it: its answers count as listening, at the tempo that was asked for."""

    def __init__(self, coach: Coach, tempo: float | None) -> None:
        super().__init__(coach)
        self._tempo = tempo

    def ask(self, now: float) -> Question:
        """The next question."""
        question = self.coach.ask(now)
        then = question.then and self._in_tempo(question.then)
        return replace(self._in_tempo(question), then=then)

    def _in_tempo(self, question: Question) -> Question:
        return replace(question, setting=replace(question.setting, tempo=self._tempo or question.setting.tempo))

    def mark(self, question: Question, picks: Sequence[Figure | None], now: float, **how: Any) -> Mark:
        """The mark of the answers, which count as listening."""
        return super().mark(question, picks, now, kind="listen", **how)


def _opened(options: argparse.Namespace, stack: ExitStack) -> tuple[Service, Callable[[str], None]]:
    """The records, the player and the level; and what says a line to the player."""
    records = stack.enter_context(Records.in_memory() if options.no_record else opened_records(options))
    player, is_new = found_or_added(records, options.player, time.time())
    service = Service.start(records, player, options.level, time.time, _seed(options), data_folder(options.data_dir))
    stack.callback(service.sound.close)
    tell, level = _teller(options), service.level
    tell(f"{level.name}, {level.title}. {len(level.figures)} figures: {counts(level.figures, level)}")
    for line in words_told(level):
        tell(line)
    tell(_greeting(service, is_new))
    return service, tell


def _quiz(options: argparse.Namespace, service: Service, tell: Callable[[str], None], answerer: Answerer) -> Quiz:
    """A round that is ready to ask.  Raises ``Leaving``."""
    coach = service.coach()
    chosen = options.begin.replace("-", " ") if options.begin else service.settings.beginnings.get(service.level.name)
    coach.begin = beginning(chosen, coach.steps) or (SOUND_OUT if answerer.knows_some() else STEP_BY_STEP)
    # A file holds one answer a bar, so that it gets no second tries.
    practised = PracticeRound(
        _Examiner(coach, options.tempo), service.keep, service.now(), options.questions, not options.answers
    )
    show = partial(print_json, indent=None) if options.json else None
    return Quiz(service, practised, tell, show)


def _seed(options: argparse.Namespace) -> Callable[[], int]:
    # Asked at each use: by the clock every round differs, and a seed that was given stays.
    return lambda: int(time.time()) if options.seed is None else options.seed


def _greeting(service: Service, is_new: bool) -> str:
    player = service.player
    if not service.records.lasting:
        return f"No record is kept of this. {CARE}"
    if not is_new:
        return f"The record of {player.name}."
    others = [other.name for other in service.records.players() if other.uuid != player.uuid]
    beside = f" (there are also: {', '.join(others)})" if others else ""
    return f"A new record begins for {player.name}{beside}. {CARE}"


def _teller(options: argparse.Namespace) -> Callable[[str], None]:
    """Says lines on the output, or nowhere where JSON is wanted of a file's answers, or beside the JSON."""
    if not options.json:
        # At once: through a pipe a prompt would else lie in Python's buffer while the other side waits for it.
        return lambda line: print(line, flush=True)
    if options.answers:
        return lambda _: None
    return lambda line: print(line, file=sys.stderr, flush=True)


def _dialogue(service: Service, tell: Callable[[str], None]) -> Answerer:
    if service.sound.open().silent:
        tell(service.sound.notice)
    tell("Answer with the bar as you count it; ? is help.")
    return Dialogue(service, Waiting(service.sound), tell, _typed)


class Waiting:
    """Plays and waits until it is over; with no device there is nothing to wait for."""

    def __init__(self, sound: Sound) -> None:
        self._sound = sound

    def play(self, passage: Passage) -> None:
        """Play a passage and come back when its bars are over."""
        self._sound.play(passage)
        # Asked again each time: a device that is unplugged in the middle must not let the terminal wait for its end.
        while self._sound.position() is not None and not self._sound.open().silent:
            time.sleep(0.01)


def _typed() -> str | None:
    line = sys.stdin.readline()
    return line if line else None
