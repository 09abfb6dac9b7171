"""Playing: hear a bar or see it, play it along a click, and see what was played under what is written."""

from collections.abc import Sequence

from pygame import Rect

from game.records import Wanted
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.playing.devices import PLAYED_ON, on_words
from game.screens.playing.ears import READERS, HabitMemory
from game.screens.playing.taking import TakeScreen
from game.sessions.hearing.hearing import Hearing
from game.sessions.inputs import KEYS, MICROPHONE
from game.sessions.playing.playing import AS_WRITTEN, AS_YOU_PLAYED, SETTLING, Played, Playing, PlayingWay, Run
from game.sessions.playing.report import HARDLY_READ, WORTH_A_WORD, unsure_words
from game.sessions.progress.hands import needs
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.stave import LARGEST_SPACE, stave_height, stave_in
from game.widgets.take import PLAYED, WRITTEN, TakeView, hands_of, stalks_of
from game.wording import PLAY_LIGHTLY, counted, number_word
from shared.levels import spelled
from shared.sticking import natural

TASKS = {
    PlayingWay.BACK: "You will hear a bar and a count-in of clicks. Then play the bar along the clicks.",
    PlayingWay.WRITTEN: "After a count-in of clicks play this bar along the clicks.",
    PlayingWay.SAID: "After a count-in of clicks play the bar along the clicks.",
}
ROUND = "It goes round four times without a break."
ALONG = "Strike along with the last two clicks of the count-in, and go straight on: they show how late your sound is."
WIRELESS_FROM = 0.12
"""An offset of so many seconds is no habit of a player's: then the sound itself is late."""

LIT = {AS_WRITTEN: WRITTEN, AS_YOU_PLAYED: PLAYED}
"""The label of what sounds, by the word for it."""


def new_playing(context: Context, in_steps: bool = False) -> Playing:
    """Bars to be played, of the figures that were met, or of those that the level begins with.

    Those that this player's hands know least come most often.
    """
    coach = context.coach()
    level = context.level
    figures = [level.figures[place] for place in coach.steps.first]
    # Of rests alone no bar could be played.
    if not any(figure.onsets for figure in figures):
        figures = list(level.figures)
    counts = [figure.count for figure in figures]
    weights = needs(figures, context.records.answers(context.player, Wanted(heard=counts, ability="playing")))
    return Playing(level, figures, READERS[KEYS], context.seed(), context.settings.hand, in_steps, weights)


class PlayBar(TakeScreen):
    """A bar to be heard and played, or what came of it."""

    def __init__(
        self,
        context: Context,
        playing: Playing,
        way: PlayingWay = PlayingWay.BACK,
        said: str = "",
        memory: HabitMemory | None = None,
        after: Act | None = None,
    ) -> None:
        super().__init__(context, memory)
        self.playing, self.way, self._said, self._after = playing, way, said, after
        self.focus = "play"

    # What is said of the page

    def heading(self) -> Heading:
        level = self.context.level
        tempo = self._shown.tempo if self._shown else self.playing.tempo
        return Heading(self.way.value, f"{level.title}\n{self.context.tempo_words(tempo)}", self._takes())

    def _takes(self) -> str:
        takes = self.playing.takes
        return counted(takes, "take") if takes else self.context.player.name

    def keys(self) -> Sequence[Key]:
        if self.run:
            return (Key("escape", "stop", self._stop),)
        if not self._shown:
            return (
                Key("space", self._begin_words(), self._begin_usual),
                Key("d", "what you play on", self._devices),
                Key("escape", "back", Pop),
            )
        return (
            Key("space", "again", self._begin_usual),
            Key("return", self._next_words(), self._next),
            Key("d", "what you play on", self._devices),
            Key("escape", "back", Pop),
        )

    @property
    def _shown(self) -> Played | None:
        """The take whose result is on the page."""
        return self.playing.played if self.run is None else None

    # A take

    @property
    def _seen(self) -> bool:
        """Whether the bar is written on the page while it is played."""
        return self.way is not PlayingWay.BACK

    def _begin_words(self) -> str:
        return "play" if self._seen else "hear it, then play"

    def _begin_usual(self) -> Next:
        return self._begin(heard_first=not self._seen)

    def _begin_otherwise(self) -> Next:
        return self._begin(heard_first=self._seen)

    def _begin(self, heard_first: bool) -> Next:
        instrument = self.context.instrument
        # Once heard, a bar is no longer read from the page alone.
        self.playing.at_sight = self.way is PlayingWay.WRITTEN and not heard_first
        # Before the run is made: under a microphone no groove sounds.
        self.playing.play_on(instrument, READERS[instrument.source], self._memory.of(instrument))
        self.begin_take(self.playing.run(heard_first))
        return None

    def _stop(self) -> Next:
        self.break_off()
        self.focus = "again" if self.playing.played else "play"
        return None

    def finished(self, run: Run) -> None:
        if self.playing.instrument.source == MICROPHONE:
            self.playing.device = self._memory.of(self.playing.instrument, self.exact)
        played = self.playing.take(self.struck, run, self.context.now(), self.exact)
        self.focus = "next" if self._done(played) else "again"
        self.keep(played.to_keep, self.playing.device)

    def _next(self) -> Next:
        self.loudspeaker.stop()
        self.playing.go_on()
        self._said, self.focus = "", "play"
        return self._after() if self._after else None

    def _done(self, played: Played) -> bool:
        """Whether this much of the bar needs no further take."""
        # In steps a bar may go wrong at first: what counts is that it is right by the end.
        return played.sits if self.playing.in_steps else played.as_written

    def _next_words(self) -> str:
        if self.playing.grows:
            return (
                "the whole bar"
                if self.playing.size + 1 == self.playing.level.meter.beats
                else (f"{number_word(self.playing.size + 1)} beats")
            )
        return "next bar"

    def _hears(self, hearing: Hearing) -> Next:
        self.loudspeaker.play(hearing)
        return None

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        # Set again where the page has a word that changes by itself; elsewhere nothing is painted between events.
        self._area = None
        if self.run:
            return self._running(look, box)
        return self._result(look, box, self._shown) if self._shown else self._ready(look, box)

    def _ready(self, look: Look, box: Rect) -> list[Widget]:
        words = " ".join(
            (
                TASKS[self.way],
                *((ROUND,) if self.playing.in_steps else ()),
                *((ALONG,) if self.playing.settling else ()),
            )
        )
        words = f"{self._said} {words}".strip()
        on = on_words(self.context.instrument)
        column = Rect(box.x + box.w // 8, box.y + look.u(10), box.w * 3 // 4, box.h - look.u(10))
        texts = look.height(words, column.w, "lead"), look.height(on, column.w, "lead", True)
        # With the largest type the bar gives way first, then the air between.
        left = column.h - sum(texts) - look.u(TARGET + 10) - look.line() - 5 * look.u(8)
        high = stave_height(look, self.context.level, box.w, min(left, look.u(190))) if self._seen else 1
        gap = min(look.u(20), look.u(8) + max(0, left - high) // 5)
        bar, task, keys, button, care, _ = rows(column, [high, *texts, look.u(TARGET + 10), look.line(), None], gap)
        play, devices, _ = columns(button, [look.u(380), look.u(380), None], look.u(20))
        return [
            *self._written(look, Rect(box.x, bar.y, box.w, bar.h)),
            Label("task", task, words, "lead"),
            Label("on", keys, on, "lead", bold=True),
            Button("play", play, "Play it" if self._seen else "Hear it, then play", self._begin_usual, main=True,
                   key="space"),
            Button("devices", devices, PLAYED_ON[self.context.settings.play_on],
                   self._devices, key="d"),
            Label("care", care, PLAY_LIGHTLY, colour="quiet"),
        ]  # fmt: skip

    def _written(self, look: Look, box: Rect) -> list[Widget]:
        """The bar to be played, where it is seen."""
        if not self._seen:
            return []
        stave = stave_in(look, self.context.level, box)
        return [stave.staff(stave.layout(self.playing.bar.figures, hands=natural(self.playing.bar, self.playing.lead)))]

    def _running(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(190)) if self._seen else 0
        word, bar, line, hands = rows(box, [look.line("huge"), high, None, look.u(TARGET + 20)], look.u(20))
        word_widget, place = self.word(word), (0, 0)
        if self._seen:
            # The numbers stand under the notes of their beats.
            stave = stave_in(look, self.context.level, bar)
            layout = stave.layout(self.playing.bar.figures)
            place = stave.column(layout, 0), stave.column(layout, self.playing.bar.meter.beats)
        return [
            word_widget, *self._written(look, bar), self.take_line(line, *place), *self.hand_buttons(look, hands),
            self.stop_button(look, hands),
        ]  # fmt: skip

    def _result(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        sentence, remark = played.report.sentence, self._remark(played)
        tall = look.height(sentence, box.w, "lead", True)
        said, told, view, buttons = rows(
            box,
            [max(tall, look.line("lead")), look.height(remark, box.w), None, 2 * look.u(TARGET) + look.u(10)],
            look.u(10),
        )
        self._area = view
        colour = "ink" if played.as_written else "warn"
        return [
            Label("sentence", said, sentence, "lead", bold=True, colour=colour, middle=True),
            Label("remark", told, remark, colour="quiet", middle=True),
            *self._view(look, view, played),
            *self._buttons(look, buttons, played),
        ]

    def _remark(self, played: Played) -> str:
        if played.take is None:
            return self.nothing_came()
        found = [self._loudness] if self._loudness else []
        if len(played.right) > 1:
            found.append(
                f"{sum(played.right)} of {len(played.right)} times as written; shown is bar {played.shown + 1}."
            )
        if played.report.wrong_hands:
            found.append(f"{counted(len(played.report.wrong_hands), 'stroke')} with another hand than under the bar.")
        if played.reading.hardly_read:
            found.append(HARDLY_READ)
        elif unsure := unsure_words(len(played.report.unsure)):
            found.append(unsure)
        # Late sound that nothing measured makes another bar of the same strokes.
        early = [one for one in played.take.strokes if one.seconds < -played.beat_seconds / 2]
        if not (played.as_written or early or self.exact) and self.playing.takes <= SETTLING:
            found.append(ALONG)
        # Where the click was found in the recording, no delay of the sound is in the offset.
        if abs(played.reading.offset) > WIRELESS_FROM and not self.exact:
            found.append("Is your sound wireless? It comes late: find its delay (D), or use a cable.")
        return " ".join(found) or "Within the band round the line hardly anyone hears early or late."

    def _view(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        if played.take is None:
            return []
        figures = tuple(beat.figure for beat in played.beats)
        view = TakeView(
            "take", box, played.bar.meter, spelled(self.context.level), played.bar.figures, figures,
            played.sticking, hands_of(played.beats), stalks_of(played.beats, played.place_of), WORTH_A_WORD, self._lit,
            look.u(LARGEST_SPACE),
        )  # fmt: skip
        return [view]

    def _lit(self) -> str:
        return LIT.get(self.sounding(), "")

    def _buttons(self, look: Look, box: Rect, played: Played) -> list[Widget]:
        tempo = f"{self.playing.tempo:.0f}"
        hears: list[tuple[str, str, Act, str]] = []
        if played.take:
            hears = [
                ("written", "As written", lambda: self._hears(self.playing.as_written()), "w"),
                ("played", "As you played", lambda: self._hears(self.playing.as_played()), "a"),
                ("both", "Both in turn", lambda: self._hears(self.playing.in_turn()), "c"),
            ]
        acts: list[tuple[str, str, Act, str]] = [
            ("again", f"Again, at {tempo}", self._begin_usual, "space"),
            ("at once", "Again, heard first" if self._seen else "Again, not heard first", self._begin_otherwise, "p"),
            ("next", f"{self._next_words().capitalize()}, at {tempo}", self._next, "return"),
        ]
        cells = grid(box, 6, 3, look.u(10), tallest=look.u(TARGET))
        hear_cells = cells[: len(hears)]
        wanted = "next" if self._done(played) else "again"
        return [
            *(
                Button(name, cell, text, act, key=key)
                for (name, text, act, key), cell in zip(hears, hear_cells, strict=True)
            ),
            *(
                Button(name, cell, text, act, key=key, main=name == wanted)
                # The lower three: they stay where they are when nothing came in and there is nothing to hear.
                for (name, text, act, key), cell in zip(acts, cells[3:], strict=True)
            ),
        ]
