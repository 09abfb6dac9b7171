"""The end of a round: the score, bar by bar, what was mixed up, and another round."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.sessions.practice.round import BarResult, MixUp, PracticeRound
from game.widgets.base import Draw, Label, Lettered, Picture, Widget, letter, write
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Pop, Replace
from game.widgets.notation import draw_layout, tile_layout
from game.wording import how_often
from shared.figures import Figure
from shared.levels import spelling_in
from shared.notation.engraved import reach

MOST_MIX_UPS = 4
"""How many mix-ups are shown, the most frequent first."""


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
        for spot, right in zip(columns(cell, [None] * len(result.right)), result.right, strict=True):
            if right:
                look.dot(canvas, (spot.centerx, line), look.u(8), look.theme.ink)
            else:
                side = look.u(20)
                look.shape(
                    canvas, "cross", Rect(spot.centerx - side // 2, line - side // 2, side, side), look.theme.warn
                )


class RoundEnd(HearingScreen):
    """A finished round.  ``best_before`` is the level's best score until then, ``again`` opens another round."""

    def __init__(
        self, context: Context, finished: PracticeRound, best_before: int | None, again: Callable[[], Screen]
    ) -> None:
        super().__init__(context)
        self._round = finished
        self._again = again
        self._mix_ups = finished.mix_ups()[:MOST_MIX_UPS]
        self._best_before = best_before
        self.focus = "again"

    def heading(self) -> Heading:
        return Heading(
            "The closing round" if self._round.closing else "The round",
            self.context.level.title,
            self.context.player.name,
        )

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "home", Pop),)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        score, strip, told, title, pairs, buttons = rows(
            box,
            [look.line("huge"), look.u(100), look.line("lead"), look.line("lead"), None, look.u(TARGET)],
            look.u(14),
        )
        again, home, _ = columns(buttons, [look.u(300), look.u(220), None], look.u(20))
        mixed = "Mixed up in this round" if self._mix_ups else "Nothing was mixed up in this round."
        return [
            *self._score(look, score),
            RoundStrip("strip", strip, self._round.results),
            Label("told", told, self._in_words(), "lead", middle=True),
            Label("mixed", title, mixed, "lead", bold=True, middle=True),
            *self._pairs(look, pairs),
            Button("again", again, "Another round", lambda: Replace(self._again()), main=True),
            Button("home", home, "Home", Pop),
        ]

    def _score(self, look: Look, box: Rect) -> list[Widget]:
        number = str(self._round.score)
        first, second = columns(box, [look.width(number, "huge", True) + look.u(16), None], look.u(10))
        return [
            Label("score", first, number, "huge", bold=True, middle=True),
            Label("points", second, f"of {self._round.best_possible} points. {self._compared()}", "lead", middle=True),
        ]

    def _compared(self) -> str:
        before, score = self._best_before, self._round.score
        if before is None:
            return "Your first round on this level."
        if score > before:
            return f"A personal best: {score - before} more than before."
        return f"Your best is {before}."

    def _in_words(self) -> str:
        done = self._round
        if done.closing:
            held = (
                f"{self.context.level.title} holds: closed" if done.passed else "Not closed yet: nine in ten are needed"
            )
            return f"{held}. {done.right} of {done.beats} beats right, each bar heard once."
        return f"{done.right} of {done.beats} beats right, with {done.heard} hearings of {done.bars} bars."

    def _pairs(self, look: Look, box: Rect) -> list[Widget]:
        cells = grid(box, len(self._mix_ups), 2, look.u(56), tallest=look.u(110)) if self._mix_ups else []
        widgets: list[Widget] = []
        for k, (cell, mix_up) in enumerate(zip(cells, self._mix_ups, strict=True)):
            heard, words, said, hear = columns(cell, [None, look.u(100), None, look.u(130)], look.u(12))
            button = Rect(hear.x, hear.centery - look.u(TARGET) // 2, hear.w, look.u(TARGET))
            widgets += [
                Picture(f"heard {k}", heard, self._drawing(mix_up.heard)),
                Label(f"times {k}", words, mix_up_words(mix_up), "small", align="centre", middle=True),
                Picture(f"said {k}", said, self._drawing(mix_up.said)),
                self._hear_button(f"hear {k}", button, mix_up, key=str(k + 1)),
            ]
        return widgets

    def _drawing(self, figure: Figure | None) -> Draw:
        return lambda canvas, look, box: self._draw(canvas, look, box, figure)

    def _hear_button(self, name: str, box: Rect, mix_up: MixUp, key: str) -> Button:
        pair = mix_up.heard, mix_up.said or mix_up.heard
        return self.hear_button(name, box, "Hear", pair, lambda: self.hear_pair(*pair), key=key)

    def _draw(self, canvas: Surface, look: Look, box: Rect, figure: Figure | None) -> None:
        """Draw a figure; those of one level share one size and one line."""
        if figure is None:
            return
        level = self.context.level
        shown = {one for mix_up in self._mix_ups for one in (mix_up.heard, mix_up.said) if one}
        layouts = [tile_layout(one, spelling_in(level, one)) for one in shown]
        space = min(fit(layouts, box.w, box.h), look.u(9))
        line = box.y + round((box.h - space * 8) / 2 + reach(layouts)[0] * space)
        draw_layout(canvas, look, tile_layout(figure, spelling_in(level, figure)), (box.x, line), space)


def mix_up_words(mix_up: MixUp) -> str:
    """What became of a figure, and how often."""
    return f"{how_often(mix_up.times)}\n{'taken for' if mix_up.said else 'not answered'}"
