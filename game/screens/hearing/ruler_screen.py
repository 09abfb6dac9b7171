"""The base of screens that play a bar: its staff, and the mark over it that follows the sound."""

from collections.abc import Callable, Sequence
from math import floor

from pygame import Rect

from game.screens.base import Screen
from game.screens.context import Context
from game.screens.hearing.loudspeaker import Loudspeaker
from game.widgets.base import Widget
from game.widgets.comparison import Lit
from game.widgets.look import Look
from game.widgets.ruler import Ruler, Where
from game.widgets.stave import Stave
from shared.figures import Figure
from shared.notation.engraved import Layout


class RulerScreen(Screen):
    """A screen that plays bars; the mark on its ruler, where it has one, follows what sounds."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.loudspeaker = Loudspeaker(context.sound)
        self._column: Callable[[float], int] = int
        self._area: Rect | None = None
        self.mark: tuple[str, int | None] = ("", None)
        self._sounded = False

    def left(self) -> None:
        self.loudspeaker.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - the sound has its own clock
        # Its words for what sounds are "Stop", and must not stay that once the sound has come to its end.
        if self._sounded != self.sounds:
            self._sounded, self.stale = self.sounds, True
        mark = self.where()
        # Only the strip of the ruler is painted anew, sixty times a second: the page under it does not change.
        if mark == self.mark or self._area is None:
            return []
        self.mark = mark
        return [self._area]

    @property
    def sounds(self) -> bool:
        """Whether a bar sounds now."""
        return self.loudspeaker.moment() is not None

    def or_stop(self, words: str) -> str:
        """What the key that lets something sound does now: while it sounds the same key stops it."""
        return "stop" if self.sounds else words

    def ruler(self, look: Look, stave: Stave, layout: Layout, box: Rect) -> Ruler:
        """The ruler over a bar on its staff."""
        self.follow(lambda beats: stave.column(layout, beats), box, look)
        return stave.ruler(layout, box, self.where)

    def even_ruler(self, look: Look, box: Rect, beats: Sequence[int], end: int, where: Where) -> Ruler:
        """A ruler for a bar whose notes are hidden: even beats, given by left edges, tell nothing."""
        # True to scale a ruler would show where the strokes lie before anybody has heard them.
        step = beats[1] - beats[0]
        self.follow(lambda place: beats[0] + round(place * step), box, look)
        # The word stands left of the first beat; where that begins at the very edge, it may take the whole width.
        return Ruler("ruler", box, tuple(beats), end, beats[0] - box.x or box.w, where)

    def on_staff(
        self, look: Look, stave: Stave, layout: Layout, ruler: Rect, places: Sequence[Widget] = ()
    ) -> list[Widget]:
        """A bar under its ruler, with the places of its beats behind it where they can be chosen."""
        return [self.ruler(look, stave, layout, ruler), *places, stave.staff(layout)]

    def follow(self, column: Callable[[float], int], box: Rect, look: Look) -> None:
        """Let the mark in a box follow the sound: ``column`` is the pixel column of a place in beats."""
        self._column = column
        # Wider by half of the mark on either side, which may stand on the very edge.
        self._area = box.inflate(2 * look.u(10), 0)

    def lit(self, figures: Sequence[Figure]) -> Lit:
        """The stroke that sounds of figures that are heard under their counts; with little movement none is lit."""
        moment = self.loudspeaker.moment()
        counts = [figure.count for figure in figures]
        if moment is None or moment.beats is None or moment.caption not in counts:
            return None
        # The figure comes on every beat, so only the place within the beat counts.
        row, place = counts.index(moment.caption), moment.beats % 1
        begun = [onset for onset in figures[row].onsets if onset <= place]
        return (row, begun[-1]) if begun and not self.context.settings.reduced_motion else None

    def where(self) -> tuple[str, int | None]:
        """The word for what sounds, and the column of the mark; with little movement it rests at each beat's start."""
        moment = self.loudspeaker.moment()
        if moment is None or self._area is None:
            return "", None
        if moment.beats is None:
            return moment.caption, None
        beats = floor(moment.beats) if self.context.settings.reduced_motion else moment.beats
        return moment.caption, self._column(beats)
