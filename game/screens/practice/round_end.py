"""The end of a round: the score, bar by bar, what was mixed up or got firmer, and what to aim at next."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass

from pygame import Rect, Surface

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.practice.reasons import figures_picture
from game.screens.practice.round_piece import RoundPiece
from game.service import goes_on
from game.sessions.exam.outlook import percent
from game.sessions.practice.ahead import TO_CLOSE, firmer, next_aim
from game.sessions.practice.round import BarResult, Mistaken, PracticeRound
from game.sessions.practice.scoring import RULE, points_of
from game.widgets.base import Label, Lettered, Widget, letter, write
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import tile_layout
from game.widgets.skyline import Hill, Skyline
from game.wording import counted, how_often, in_words
from shared.difference import difference
from shared.levels import Level, ladder_place, spelled

MOST_MIX_UPS = 2
"""How many mix-ups are shown, the most frequent first."""

MOST_FIRMER = 8
"""How many figures that got firmer are shown, the most risen first."""


@dataclass
class RoundStrip(Widget):
    """The round as a line of bars: a note for each right beat, a cross for each wrong one, the hearings under them."""

    results: Sequence[BarResult]

    def _cells(self, look: Look) -> tuple[Rect, list[Rect]]:
        caption, line = columns(self.rect, [look.u(120), None])
        return caption, columns(line, [None] * len(self.results))

    def lettering(self, look: Look) -> list[Lettered]:
        caption, cells = self._cells(look)
        low = look.line("small")
        found = [letter(look, "Hearings", Rect(caption.x, caption.bottom - low, caption.w, low), "small")]
        for cell, result in zip(cells, self.results, strict=True):
            found.append(
                letter(look, str(result.hearings), Rect(cell.x, cell.bottom - low, cell.w, low), "small", True)
            )
        return found

    def paint(self, canvas: Surface, look: Look) -> None:
        theme = look.theme
        cells = self._cells(look)[1]
        # In the middle of what the hearings, which stand under it, leave of the height.
        line = self.rect.y + (self.rect.h - look.line("small")) // 2
        thick, reach = look.u(2), look.u(22)
        canvas.fill(theme.ink, (cells[0].x, line - thick // 2, cells[-1].right - cells[0].x, thick))
        for cell, result in zip(cells, self.results, strict=True):
            canvas.fill(theme.ink, (cell.right - thick, line - reach, thick, 2 * reach))
            self._paint_beats(canvas, look, cell, line, result)
        caption_text, *counts = self.lettering(look)
        write(canvas, caption_text, theme.quiet)
        for lettered in counts:
            write(canvas, lettered, theme.ink, "centre")

    def _paint_beats(self, canvas: Surface, look: Look, cell: Rect, line: int, result: BarResult) -> None:
        # By the shape as well as by the colour: a round is read without colours too.
        for spot, right in zip(columns(cell, [None] * len(result.right)), result.right, strict=True):
            if right:
                look.dot(canvas, (spot.centerx, line), look.u(8), look.theme.ink)
            else:
                side = look.u(20)
                look.shape(
                    canvas, "cross", Rect(spot.centerx - side // 2, line - side // 2, side, side), look.theme.warn
                )


class RoundEnd(HearingScreen):
    """A finished round.  ``best_before`` is the best score like it until then.

    ``again`` opens another round, ``closing`` the closing round, which is offered as on the first page.
    """

    def __init__(
        self,
        context: Context,
        finished: PracticeRound,
        best_before: int | None,
        again: Callable[[], Screen],
        closing: Callable[[], Screen],
    ) -> None:
        super().__init__(context)
        self._round = finished
        self._again = again
        self._closing = closing
        self.mix_ups = finished.mix_ups()[:MOST_MIX_UPS]
        # Hearing alone makes firmer too, but praise is for what was named.
        named = {figure for result in finished.results for figure in result.named}
        self._recalled = finished.recalled(context.now())
        risen = firmer(context.level.figures, finished.before, self._recalled)
        self._firmer = tuple(one for one in risen if one.figure in named)[:MOST_FIRMER]
        self._aim = next_aim(finished, context.level)
        self._best_before = best_before
        self._sunk: tuple[str, ...] | None = None
        self._brought_back = 0
        self._drawn = False
        self._work: Iterator[None] | None = None
        self.focus = "again"

    def entered(self) -> None:
        self._drawn = False
        # A closing round has said already whether the level holds.
        self._work = None if self._round.closing else self.context.working_out(self.context.level)
        self.stale = True

    def tick(self, now: float) -> list[Rect]:
        # The page is shown first: a long log takes a while to be lived through.
        if not self._drawn:
            self._drawn = True
            return super().tick(now)
        if self._work is not None and self._sunk is None:
            kept = self.context.kept_standing(self.context.level)
            # It is still of before the round: the next is worked out from here on.
            self._sunk = kept.sunk(self._round.started) if kept else ()
        if self._work is not None and not goes_on(self._work):
            self._work, self.stale = None, True
            self._brought_back = self._count_brought_back()
            if self._is_to_be_closed():
                self._aim = TO_CLOSE
        return super().tick(now)

    def heading(self) -> Heading:
        return Heading(
            "The closing round" if self._round.closing else "The round",
            self.context.level.title,
            self.context.player.name,
        )

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "home", Pop),)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        score, strip, told, rule, parts, buttons = rows(
            box,
            [look.line("huge"), look.u(70), look.line("lead"), 2 * look.line("small"), None, look.u(TARGET)],
            look.u(10),
        )
        # The two share the width only where there are both.
        crowded = bool(self.mix_ups and self._firmer)
        wide, between, last = columns(parts, [None, parts.w * 0.22 if crowded else 0, parts.w * 0.27], look.u(32))
        return [
            *self._score(look, score),
            RoundStrip("strip", strip, self._round.results),
            Label("told", told, self._in_words(), "lead", middle=True),
            Label("rule", rule, RULE, "small", colour="quiet", middle=True),
            *self._came(look, wide),
            *(self._risen(look, between, 2) if crowded else ()),
            *self._next(look, last),
            *self._buttons(look, buttons),
        ]

    def _came(self, look: Look, box: Rect) -> list[Widget]:
        """The findings of the round: mix-ups first; of a level that holds, its hills."""
        if self.mix_ups:
            return self._mixed(look, box)
        return self._hills(look, box) if self._round.passed else self._risen(look, box, 4)

    def _hills(self, look: Look, box: Rect) -> list[Widget]:
        title, picture = rows(box, [look.line("lead"), None], look.u(8))
        picture = Rect(picture.x, picture.y, picture.w, min(picture.h, look.u(200)))
        layouts = [tile_layout(figure, spelling) for figure, spelling in spelled(self.context.level).items()]
        return [
            Label("hills title", title, "Every figure is firm", "lead", bold=True, middle=True),
            Skyline("skyline", picture, [Hill(chance, chance, firm=True) for chance in self._recalled], layouts),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        after = self._aim.level
        again, music, home = columns(box, [None, None, None], look.u(20))
        if after:
            main = Button("again", again, f"On to stage {ladder_place(after.name)}", self._go_on, main=True)
        elif self._aim is TO_CLOSE:
            main = Button("again", again, "The closing round", self._close, main=True)
        else:
            main = Button("again", again, "Another round", self._another, main=True)
        return [
            main,
            Button("music", music, "The round as music", self._as_music, key="m"),
            Button("home", home, "Home", Pop),
        ]

    def _another(self) -> Next:
        return Replace(self._again())

    def _count_brought_back(self) -> int:
        """How many figures that had sunk before the round are firm after it."""
        standing, now = self.context.kept_standing(self.context.level), self.context.now()
        firm = dict(zip(standing.figures, standing.firm(now), strict=True)) if standing else {}
        return sum(firm.get(figure, False) for figure in self._sunk or ())

    def _is_to_be_closed(self) -> bool:
        """Whether every figure of the level is firm and its closing round was not passed yet."""
        context = self.context
        standing = context.kept_standing(context.level)
        return bool(standing and standing.holds(context.now())) and context.level.name not in context.closed()

    def _close(self) -> Next:
        return Replace(self._closing())

    def _go_on(self) -> Next:
        """On to the level that comes after the one that holds."""
        if self._aim.level:
            self.context.choose_level(self._aim.level)
        return self._another()

    def _as_music(self) -> Next:
        return Push(RoundPiece(self.context, self._round))

    def _score(self, look: Look, box: Rect) -> list[Widget]:
        number = str(self._round.earned)
        first, second = columns(box, [look.width(number, "huge", True) + look.u(16), None], look.u(10))
        return [
            Label("score", first, number, "huge", bold=True, middle=True),
            Label("points", second, f"of {self._round.possible} points. {self._compared()}", "lead", middle=True),
        ]

    def _compared(self) -> str:
        before, beats = self._best_before, self._round.beats
        # It is heard once throughout, so that its points would be another measure.
        if self._round.closing:
            return "A closing round is compared with no other."
        if before is None:
            return f"Your first round of {counted(beats, 'beat')} on this level."
        best, _ = points_of(before, beats)
        if self._round.score > before:
            return f"A personal best: {self._round.earned - best} more than before."
        return f"Your best of {counted(beats, 'beat')} is {best}."

    def _in_words(self) -> str:
        done = self._round
        if done.closing:
            came = "Passed: this level holds." if done.passed else "Not passed yet: nine beats in ten are needed."
            return f"{came} {done.right} of {done.beats} beats right, each bar heard once."
        heard = f"{counted(done.heard, 'hearing')} of {counted(done.bars, 'bar')}"
        told = f"{done.right} of {done.beats} beats right, {heard}."
        if self._brought_back > 1:
            return f"{told} {in_words(self._brought_back, 'figure').capitalize()} are firm again."
        return f"{told} One figure is firm again." if self._brought_back else told

    def _mixed(self, look: Look, box: Rect) -> list[Widget]:
        """The figures that were mixed up, drawn, with the sentence on what to listen for."""
        title, pairs = rows(box, [look.line("lead"), None], look.u(6))
        widgets: list[Widget] = [Label("mixed", title, "Mixed up in this round", "lead", bold=True, middle=True)]
        # In large type one may be all there is room for: it is the most frequent then.
        shown = self.mix_ups[: max(1, pairs.h // look.u(60))]
        cells = grid(pairs, len(shown), 1, look.u(8), tallest=look.u(120))
        for k, (cell, mix_up) in enumerate(zip(cells, shown, strict=True)):
            drawn, words, hear = columns(cell, [cell.w * 0.38, None, look.u(110)], look.u(12))
            button = Rect(hear.x, hear.centery - look.u(TARGET) // 2, hear.w, look.u(TARGET))
            figures = tuple(figure for figure in (mix_up.heard, mix_up.said) if figure)
            widgets += [
                figures_picture(f"mixed {k}", drawn, self.context.level, figures),
                Label(f"apart {k}", words, mix_up_words(mix_up, self.context.level), "small", middle=True),
                self._hear_button(f"hear {k}", button, mix_up, key=str(k + 1)),
            ]
        return widgets

    def _risen(self, look: Look, box: Rect, across: int) -> list[Widget]:
        """The figures that got firmer in the round, so many in a row."""
        told = "Firmer than before" if self._firmer else "Nothing was mixed up"
        about = "Chance of naming it tomorrow" if self._firmer else "Figures get firmer by being named on other days."
        title, words, drawn = rows(box, [look.line("lead"), look.line("small"), None], look.u(4))
        widgets: list[Widget] = [
            Label("firmer", title, told, "lead", bold=True, middle=True),
            Label("firmer about", words, about, "small", colour="quiet", middle=True),
        ]
        lines = max(1, min(2, drawn.h // (look.line("small") + look.u(56))))
        shown = self._firmer[: lines * across]
        cells = grid(drawn, len(shown), across, look.u(8), look.u(120)) if shown else []
        for k, (cell, one) in enumerate(zip(cells, shown, strict=True)):
            picture, chance = rows(cell, [None, look.line("small")], look.u(2))
            risen = f"{percent(one.before)}, now {percent(one.after)}"
            widgets += [
                figures_picture(f"firm {k}", picture, self.context.level, (one.figure,)),
                Label(f"chance {k}", chance, risen, "small", bold=True),
            ]
        return widgets

    def _next(self, look: Look, box: Rect) -> list[Widget]:
        # However long the words are, two fifths of the height stay for the figures that they are about.
        title, words, drawn = rows(
            box, [look.line("lead"), min(look.height(self._aim.words, box.w), box.h * 3 // 5), None], look.u(4)
        )
        widgets: list[Widget] = [
            Label("aim title", title, "To aim at next", "lead", bold=True, middle=True),
            Label("aim", words, self._aim.words),
        ]
        if self._aim.figures:
            level = self._aim.level or self.context.level
            widgets.append(figures_picture("aim figures", drawn, level, self._aim.figures))
        return widgets

    def _hear_button(self, name: str, box: Rect, mix_up: Mistaken, key: str) -> Button:
        # Where nothing was said, there is only the figure itself to be heard.
        pair = mix_up.heard, mix_up.said or mix_up.heard
        return self.hear_button(name, box, "Hear", pair, lambda: self.hear_pair(*pair), key=key)


def mix_up_words(mix_up: Mistaken, level: Level) -> str:
    """A mix-up in words, as a level counts: how often, and what to listen for."""
    if mix_up.said is None:
        return f"Not named, {how_often(mix_up.times)}."
    apart = difference(mix_up.heard, mix_up.said, words=level.shown).sentence
    return f"Taken for the other {how_often(mix_up.times)}. {apart}"
