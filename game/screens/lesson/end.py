"""The end of a lesson: what the class mixed up, how each team did, and what to play next time; to print."""

from collections.abc import Sequence

from pygame import Rect

from game.engraving.surface import fit
from game.records import Player
from game.reports.class_report import class_report
from game.screens.base import Heading, Key
from game.screens.context import Context, give_back
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.saving import open_folder, save, saved_in
from game.sessions.lesson.lesson import ClassSession
from game.sessions.lesson.summary import (
    NO_PAIR,
    ClassSummary,
    TeamSummary,
    mix_up_share,
    no_mix_up_words,
    summarise,
    summary_words,
    weak_words,
)
from game.widgets import lettering
from game.widgets.base import Draw, Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.classroom import BigLabel, count_size, fitting, least_space
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.notation import centred, draw_layout, tile_layout
from shared.figures import Figure
from shared.levels import Level, spelling_in

MIXED = "Mixed up, the first taken for the second:"

FEWEST = "The fewest had:"

SHOWN = 3
"""How many mix-ups and how many steps the page shows; the printed sheet has them all."""


def open_class_end(context: Context, room: Player, session: ClassSession) -> "ClassEnd":
    """Sum up a lesson; the next one is planned from all that the class has answered."""
    counted = zip(session.teams, session.right, session.asked_of, strict=True)
    teams = [TeamSummary(*team, session.one_beat) for team in counted]
    record = context.records.answers(room)
    return ClassEnd(context, room, summarise(context.level, session.answers, record, context.now(), teams))


class ClassEnd(HearingScreen):
    """A lesson that is over."""

    def __init__(self, context: Context, room: Player, summary: ClassSummary) -> None:
        super().__init__(context)
        self.room = room
        self.summary = summary
        self._told = ""
        self.focus = "print"

    def entered(self) -> None:
        # To the volume and the kit of the class; ``left`` gives the sound back to who plays.
        self.context.tune()

    def left(self) -> None:
        super().left()
        give_back(self.context)

    def heading(self) -> Heading:
        return Heading("The lesson", self.room.name, self.context.level.title)

    def keys(self) -> Sequence[Key]:
        return (
            Key("p", "save to print", self._print),
            Key("o", "open the folder", self._open_folder),
            # As on a remote, which has led through the lesson until here.
            Key("page down", "home", Pop),
            Key("escape", "", Pop, shown=False),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        size = count_size(look)
        line = lettering.line_height(size)
        teams = self.summary.teams
        told, team_box, title, mixed, following, saved, buttons = rows(
            box,
            # Two teams in a line, the number of lines rounded up.
            [line, line * -(-len(teams) // 2), line, None, 2 * line, look.line("small") if self._told else 0,
             look.u(TARGET)],
            look.u(8),
        )  # fmt: skip
        sheet, home, folder, _ = columns(buttons, [look.u(300), look.u(270), look.u(220), None], look.u(20))
        heading = FEWEST if self.summary.weak else no_mix_up_words(self.summary, self.context.level)
        cells = grid(team_box, len(teams), 2) if teams else []
        return [
            BigLabel("told", told, summary_words(self.summary), size),
            *(BigLabel(f"team {k}", cell, str(team), size, bold=False)
              for k, (cell, team) in enumerate(zip(cells, teams, strict=True))),
            BigLabel("mixed", title, MIXED if self.summary.mix_ups else heading, size),
            *(self._mixed(look, mixed) if self.summary.mix_ups else self._weak(look, mixed)),
            BigLabel("next", following, next_words(self.summary, self.context.level), size, bold=False),
            Label("saved", saved, self._told, "small", bold=True, middle=True),
            Button("print", sheet, "Save to print (PDF)", self._print, main=True),
            Button("home", home, "Home", Pop, key="page down"),
            Button("folder", folder, "Open folder", self._open_folder, key="o"),
        ]  # fmt: skip

    def _lines(self, look: Look, box: Rect, count: int) -> tuple[list[Rect], int]:
        """A line for each of so many figures or pairs, as many as the back row can read, and the space of its staff."""
        level = self.context.level
        # A figure without its count is about six and a half staff spaces high.
        least = round(least_space(look, counted=False) * 6.5)
        shown = min(count, max(1, min(SHOWN, box.h // max(1, least))))
        lines = grid(box, shown, 1, look.u(8), tallest=look.u(150)) if shown else []
        # All figures of the level, so that those drawn are as large as they would be with any others.
        layouts = [tile_layout(figure, spelling_in(level, figure), count=False) for figure in level.figures]
        return lines, min(fit(layouts, box.w * 0.22, lines[0].h), look.u(14)) if lines else 0

    def _mixed(self, look: Look, box: Rect) -> list[Widget]:
        """The largest mix-ups, each with both figures drawn and in words."""
        level = self.context.level
        lines, space = self._lines(look, box, len(self.summary.mix_ups))
        found: list[Widget] = []
        for k, (place, mix_up) in enumerate(zip(lines, self.summary.mix_ups, strict=False)):
            heard, said, words, hear = columns(place, [box.w * 0.22, box.w * 0.22, None, look.u(120)], look.u(12))
            share = mix_up_share(mix_up)
            told = f"{level.named(mix_up.heard)} for {level.named(mix_up.said)}: {share}"
            button = Rect(hear.x, hear.centery - look.u(TARGET) // 2, hear.w, look.u(TARGET))
            found += [
                Picture(f"heard {k}", heard, self._drawing(mix_up.heard, space)),
                Picture(f"said {k}", said, self._drawing(mix_up.said, space)),
                BigLabel(f"share {k}", words, fitting(look, words.w, told, f"mixed up: {share}"), count_size(look)),
                self._hear_button(f"hear {k}", button, (mix_up.heard, mix_up.said), key=str(k + 1)),
            ]
        return found

    def _weak(self, look: Look, box: Rect) -> list[Widget]:
        """The figures that the fewest had, where it is not known what the others took them for."""
        lines, space = self._lines(look, box, len(self.summary.weak))
        found: list[Widget] = []
        for k, (place, weak) in enumerate(zip(lines, self.summary.weak, strict=False)):
            drawn, words = columns(place, [box.w * 0.22, None], look.u(12))
            told = weak_words(self.context.level, *weak)
            found += [
                Picture(f"weak {k}", drawn, self._drawing(weak[0], space)),
                BigLabel(f"share {k}", words, told, count_size(look)),
            ]
        return found

    def _drawing(self, figure: Figure, space: int) -> Draw:
        layout = tile_layout(figure, spelling_in(self.context.level, figure), count=False)
        return lambda canvas, look, box: draw_layout(canvas, look, layout, centred(layout, box, space), space)

    def _hear_button(self, name: str, box: Rect, pair: tuple[Figure, Figure], key: str) -> Button:
        return self.hear_button(name, box, "Hear", pair, lambda: self.hear_pair(*pair), key=key)

    def _print(self) -> Next:
        data = class_report(self.summary, self.room.name, self.context.level, self.context.now())
        self._told = save(self.context, f"lesson {self.room.name}", ".pdf", data)
        return None

    def _open_folder(self) -> Next:
        self._told = open_folder(saved_in(self.context))
        return None


def next_words(summary: ClassSummary, level: Level) -> str:
    """The next lesson in a line or two, as the level counts; the printed sheet says how and why."""
    steps = summary.next_lesson
    if not steps:
        return f"Next lesson: {NO_PAIR[0].lower()}{NO_PAIR[1:]}"
    # Two pairs fill the two lines that there are, in letters for the last row.
    pairs = "; ".join(" and ".join(map(level.named, step.figures)) for step in steps[:2])
    return f"Next lesson, side by side: {pairs}."
