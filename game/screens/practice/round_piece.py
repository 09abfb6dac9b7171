"""The round as music: its bars in a row over a groove, to be heard, filled in and saved."""

from collections.abc import Callable, Sequence
from functools import partial
from math import floor
from pathlib import Path

from pygame import Rect

from game.engraving.surface import fit
from game.pieces import Piece, write_piece
from game.reports.piece_report import piece_report
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.saving import save_and_tell
from game.sessions.hearing.hearing import whole_bar
from game.sessions.practice.piece import piece
from game.sessions.practice.round import PracticeRound
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.chart_view import ChartBar
from game.widgets.controls import TARGET, Button
from game.widgets.keycaps import title
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.notation import BeatPlace, figure_tiles, line_in, tile_layout, tiling
from game.wording import counted
from shared.charts import Chart, Spot
from shared.figures import Figure
from shared.files import write_beside
from shared.levels import Level, spelled
from shared.notation.engraved import Layout, reach
from shared.notation.page import Dress, lay_out_bar
from shared.notation.spacing import NARROWEST_BEAT
from shared.orchestration import Setting

ACROSS = (4, 3, 2)
"""How many bars a line may have: as many as let the notes be largest."""

LARGEST_SPACE = 11
"""The largest staff space, in units."""

SHARES = (0.56, 0.5, 0.44, 0.34)
"""The bars' part of the page: the largest that leaves tiles of a good size, the least where none does."""

TILE_SPACE = 8
"""The staff space of tiles of a good size, in units."""

WHOLE = "the whole piece"
"""The token of the piece as it sounds."""


class RoundPiece(HearingScreen):
    """The piece of a finished round; a gap that is named rightly fills.  Nothing of it counts or is kept."""

    def __init__(self, context: Context, finished: PracticeRound) -> None:
        super().__init__(context)
        # A beat that was named at the second try is no gap: the player found it.
        mended = [(bar, beat) for bar, result in enumerate(finished.results) for beat in result.mended]
        self.chart = piece(finished.results).filled(mended)
        settings = [result.question.setting for result in finished.results]
        # One piece has one tempo, where each bar of the round had its own: the mean of them.
        tempo = round(sum(setting.tempo for setting in settings) / len(settings))
        self._asked = Setting(settings[-1].orchestration, float(tempo), seed=settings[-1].seed)
        self._missed = len(self.chart.gaps)
        self.gap: Spot | None = min(self.chart.gaps, default=None)
        self._told = ""
        self._sounding: int | None = None
        self.focus = "hear"

    @property
    def setting(self) -> Setting:
        """How the piece is played to this player."""
        return self.context.heard(self._asked)

    def heading(self) -> Heading:
        open_gaps = len(self.chart.gaps)
        gaps = f"{self._missed - open_gaps} of {counted(self._missed, 'gap')} filled" if self._missed else "No gaps"
        return Heading("The round as music", self.context.tempo_words(self.setting.tempo), gaps)

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "back", Pop),)

    def tick(self, now: float) -> list[Rect]:
        bar = self._bar_that_sounds()
        if bar != self._sounding:
            self._sounding, self.stale = bar, True
        return super().tick(now)

    def _bar_that_sounds(self) -> int | None:
        where = self.context.sound.position()
        if where is None or not self.sounds(WHOLE):
            return None
        passage = self.chart.arranged(self.setting)
        # Below 0 while it is counted in: no bar of the page is marked then.
        bar = floor(where / passage.beat_seconds / passage.meter.beats) - passage.figure_bar
        return bar if bar >= 0 else None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        sizes = [self._share(look, box), look.line("lead"), None] if self.chart.gaps else [None, look.line("lead"), 1]
        chart, words, tiles, buttons = rows(box, [*sizes, look.u(TARGET)], look.u(12))
        return [
            *self._bars(look, chart),
            Label("told", words, self._told or self._prompt(), "lead", bold=True, middle=True),
            *(self._tiles(look, tiles) if self.chart.gaps else ()),
            *self._buttons(look, buttons),
        ]

    def _share(self, look: Look, box: Rect) -> int:
        """The height of the bars while tiles need room under them."""
        layouts = [tile_layout(figure, spelling) for figure, spelling in spelled(self.context.level).items()]
        others = look.line("lead") + look.u(TARGET) + 3 * look.u(12)
        for share in SHARES:
            tiles = Rect(0, 0, box.w, box.h - round(share * box.h) - others)
            if tiling(look, tiles, layouts, look.u(8)).space >= look.u(TILE_SPACE):
                break
        return round(share * box.h)

    def _prompt(self) -> str:
        if self.gap is None:
            return "Every beat is there."
        bar, beat = self.gap
        return f"Bar {bar + 1}, beat {beat + 1} was missed. Name it, and it fills."

    def _bars(self, look: Look, box: Rect) -> list[Widget]:
        chart = self.chart
        # Narrow first, which gives the staff space; then with each bar as wide as its share of the line.
        narrow = _laid_out(chart, self.context.level)
        plans = [(self._largest(look, box, narrow, across), across) for across in ACROSS]
        (space, high), across = max(plans)
        lines = list(chart.systems(across))
        ends = max(layout.width - layout.beat_width * chart.meter.beats for layout in narrow)
        layouts = _laid_out(chart, self.context.level, (box.w // across / space - ends) / chart.meter.beats)
        # No higher than the notes need: lines of one piece stand together, with what is left below them.
        high = min(high, round(sum(reach(layouts)) * space) + look.u(40))
        widgets: list[Widget] = []
        for row, line in zip(rows(box, [high] * len(lines), look.u(10)), lines, strict=True):
            for cell, bar in zip(columns(row, [None] * across), line, strict=False):
                widgets += self._gaps(look, bar, cell, layouts[bar], space)
                sounds = self._sounding == bar
                widgets.append(
                    ChartBar(f"bar {bar}", cell, layouts[bar], space, line_in(row.h, layouts, space), sounds)
                )
        return widgets

    def _largest(self, look: Look, box: Rect, narrow: Sequence[Layout], across: int) -> tuple[int, int]:
        """The largest staff space for so many bars in a line, and the height of a line, in pixels."""
        lines, gap = len(list(self.chart.systems(across))), look.u(10)
        high = min((box.h - gap * (lines - 1)) // lines, look.u(150))
        return min(fit(narrow, box.w // across, high - look.u(8)), look.u(LARGEST_SPACE)), high

    def _gaps(self, look: Look, bar: int, cell: Rect, layout: Layout, space: int) -> list[Widget]:
        found: list[Widget] = []
        for beat in range(self.chart.meter.beats):
            if (bar, beat) in self.chart.gaps:
                span = layout.beats[beat]
                left, right = (cell.x + round(edge * space) for edge in span)
                rect = Rect(left, cell.y, right - left - look.u(3), cell.h)
                state = "current" if self.gap == (bar, beat) else "empty"
                found.append(
                    BeatPlace(
                        f"gap {bar} {beat}", rect, self._hear_gap, state, on_focus=partial(self._choose, (bar, beat))
                    )
                )
        return found

    def _tiles(self, look: Look, box: Rect) -> list[Widget]:
        figures = [(figure, tile_layout(figure, spelling)) for figure, spelling in spelled(self.context.level).items()]
        return figure_tiles(look, box, figures, self._name, self.context.bindings.tiles)

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        shown: list[tuple[str, str, Act, str]] = [("sound", "Save the sound", self._save_sound, "v")]
        shown.append(("page", "Save the page", self._save_page, "x"))
        if self.gap is not None:
            shown.insert(0, ("gap", "This bar alone", self._hear_gap, self.context.bindings.key("beat")))
        cells = columns(box, [None] * (len(shown) + 1), look.u(16))
        key = self.context.bindings.key("hear")
        hear = self.hear_button("hear", cells[0], "Hear the piece", WHOLE, self._hear, key=key)
        # Afterwards, as the maker of such buttons knows only whether it sounds.
        hear.main = True
        others = zip(cells[1:], shown, strict=True)
        return [hear, *(Button(name, cell, text, act, key=key) for cell, (name, text, act, key) in others)]

    def _hear(self) -> Next:
        return self.hear(WHOLE, self.chart.arranged(self.setting))

    def _hear_gap(self) -> Next:
        """The bar of the chosen gap with all its figures: what is to be named."""
        if self.gap is None:
            return None
        bar = self.chart.bars[self.gap[0]]
        return self.hear(self.gap, whole_bar(bar, self.setting, "").passage)

    def _choose(self, gap: Spot) -> None:
        self.gap, self._told = gap, ""

    def _name(self, figure: Figure) -> Next:
        """Say which figure belongs in the chosen gap; the right one fills it."""
        if self.gap is None:
            return None
        bar, beat = self.gap
        # Not kept and not marked: the round is over, and this is for the ear alone.
        if self.chart.bars[bar].figures[beat] != figure:
            named = self.context.level.as_shown(figure.count_on(beat + 1))
            self._told = f"Not {named}: another one. {title(self.context.bindings.key('beat'))} plays the bar."
            return None
        self.chart = self.chart.filled([self.gap])
        later = sorted(gap for gap in self.chart.gaps if gap > (bar, beat))
        self.gap = next(iter(later), min(self.chart.gaps, default=None))
        self._told = "" if self.gap else "Every beat is there: hear it whole."
        self.set_focus("hear" if self.gap is None else f"gap {self.gap[0]} {self.gap[1]}")
        return None

    def _save_sound(self) -> Next:
        sound = Piece(self.chart.bars[0], self.setting, self.chart.arranged(self.setting))
        return self._save(".wav", lambda path: write_piece([path], sound))

    def _save_page(self) -> Next:
        page = piece_report(self.chart, self.context.level, self.context.player.name, self.setting.tempo)
        return self._save(".pdf", lambda path: write_beside(path, page))

    def _save(self, ending: str, write: Callable[[Path], None]) -> Next:
        save_and_tell(self, f"round of {self.context.player.name}", ending, write)
        return None


def _laid_out(chart: Chart, level: Level, least_beat: float = NARROWEST_BEAT) -> list[Layout]:
    """Every bar of the chart, its beats at least so wide; with its count once every beat is there."""
    dress = Dress(spelled(level), count=not chart.gaps, opening=False, least_beat=least_beat)
    return [lay_out_bar(chart.meter, chart.figures(bar), dress) for bar in range(len(chart.bars))]
