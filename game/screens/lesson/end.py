"""The end of a lesson: what the class mixed up, the scores, and what to play next time; to print."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Player
from game.reports.class_report import class_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.saving import save
from game.sessions.exam.outlook import percent
from game.sessions.lesson.lesson import ClassSession
from game.sessions.lesson.summary import NO_PAIR, ClassSummary, summarise, summary_words
from game.sessions.progress.mixups import MixUp
from game.sessions.progress.plan import PlanStep
from game.widgets.base import Draw, Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.pairs import draw_figure
from shared.figures import Figure

SHOWN = 3
"""How many mix-ups and how many steps the page shows; the printed sheet has them all."""


def open_class_end(context: Context, room: Player, session: ClassSession) -> "ClassEnd":
    """Sum up a lesson; the next one is planned from all that the class has answered."""
    scores = zip(session.teams, session.points, strict=True)
    record = context.records.answers(room)
    return ClassEnd(context, room, summarise(context.level, session.answers, record, context.now(), scores))


class ClassEnd(HearingScreen):
    """A lesson that is over."""

    def __init__(self, context: Context, room: Player, summary: ClassSummary) -> None:
        super().__init__(context)
        self.room = room
        self.summary = summary
        self._told = ""
        self.focus = "print"

    def heading(self) -> Heading:
        return Heading("The lesson", self.room.name, self.context.level.title)

    def keys(self) -> Sequence[Key]:
        return (Key("p", "save to print", self._print), Key("escape", "home", Pop))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        told, scores, body, saved, buttons = rows(
            box, [look.line("lead"), look.line("lead"), None, look.line("small") * 2, look.u(TARGET)], look.u(12)
        )
        left, right = columns(body, [None, None], look.u(48))
        sheet, home, _ = columns(buttons, [look.u(300), look.u(200), None], look.u(20))
        return [
            Label("told", told, summary_words(self.summary), "lead", bold=True, middle=True),
            Label("scores", scores, score_words(self.summary), "lead", middle=True),
            *self._mixed(look, left),
            *self._next(look, right),
            Label("saved", saved, self._told, "small", bold=True, middle=True),
            Button("print", sheet, "Save to print (PDF)", self._print, main=True),
            Button("home", home, "Home", Pop),
        ]

    def _mixed(self, look: Look, box: Rect) -> list[Widget]:
        mixed = self.summary.mix_ups[:SHOWN]
        title, body = rows(box, [look.line("lead"), None], look.u(12))
        lines = grid(body, SHOWN, 1, look.u(12), tallest=look.u(110))
        heading = "Mixed up in this lesson" if mixed else "Nothing was mixed up in this lesson."
        found: list[Widget] = [Label("mixed", title, heading, "lead", bold=True, middle=True)]
        for k, (line, mix_up) in enumerate(zip(lines, mixed, strict=False)):
            found += self._mix_up(look, line, k, mix_up)
        return found

    def _mix_up(self, look: Look, box: Rect, k: int, mix_up: MixUp) -> list[Widget]:
        heard, words, said, hear = columns(box, [None, look.u(120), None, look.u(110)], look.u(10))
        button = Rect(hear.x, hear.centery - look.u(TARGET) // 2, hear.w, look.u(TARGET))
        share = f"taken for\n{percent(mix_up.times / mix_up.answers)}"
        return [
            Picture(f"heard {k}", heard, self._drawing(mix_up.heard)),
            Label(f"share {k}", words, share, "small", align="centre", middle=True),
            Picture(f"said {k}", said, self._drawing(mix_up.said)),
            self._hear_button(f"hear {k}", button, (mix_up.heard, mix_up.said), key=str(k + 1)),
        ]

    def _next(self, look: Look, box: Rect) -> list[Widget]:
        steps = self.summary.next_lesson[:SHOWN]
        title, body = rows(box, [look.line("lead"), None], look.u(12))
        lines = grid(body, SHOWN, 1, look.u(12), tallest=look.u(110))
        found: list[Widget] = [Label("next", title, "Next lesson", "lead", bold=True, middle=True)]
        if not steps:
            found.append(Label("no next", lines[0], NO_PAIR))
        for k, (line, step) in enumerate(zip(lines, steps, strict=False)):
            found.append(Label(f"step {k}", line, step_words(step)))
        return found

    def _drawing(self, figure: Figure) -> Draw:
        return lambda canvas, look, box: draw_figure(canvas, look, box, self.context.level, figure)

    def _hear_button(self, name: str, box: Rect, pair: tuple[Figure, Figure], key: str) -> Button:
        return self.hear_button(name, box, "Hear", pair, lambda: self.hear_pair(*pair), key=key)

    def _print(self) -> Next:
        data = class_report(self.summary, self.room.name, self.context.level, self.context.now())
        self._told = save(self.context, f"lesson {self.room.name}", ".pdf", data)
        return None


def score_words(summary: ClassSummary) -> str:
    """The teams' points."""
    return ", ".join(f"{team}: {points}" for team, points in summary.scores)


def step_words(step: PlanStep) -> str:
    """A step of the next lesson."""
    how = f"{step.played}, from {step.tempo:.0f} beats a minute"
    return f"{step.names} side by side, {step.minutes} minutes: {how}. {step.why}"
