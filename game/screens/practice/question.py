"""Practice: hear a bar, say which figure sits on each asked beat."""

from collections.abc import Sequence

from pygame import Rect

from game.records import RecordsError
from game.screens.base import Key, Screen
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.screens.practice.bar_screen import BarScreen
from game.screens.practice.reveal import Reveal
from game.screens.practice.round_end import RoundEnd
from game.sessions.hearing.hearing import Hearing, one_beat, whole_bar
from game.sessions.practice.round import BARS, Asker, PracticeRound, State
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, FigureTile
from game.widgets.stave import Stave, stave_height, stave_in
from shared.figures import Figure
from shared.notation.engraved import INK, Layout


def open_practice(context: Context, asker: Asker | None = None, bars: int = BARS) -> "Practice":
    """A new round for whoever plays, on their level; the player's coach asks unless there is another asker.

    Every answer is kept before it is revealed.
    """
    return Practice(context, PracticeRound(asker or context.coach(), context.keep, context.now(), bars))


def keep_round(context: Context, finished: PracticeRound) -> None:
    """Keep a finished round, for personal bests.  What can't be kept is told on the home page."""
    try:
        context.keep_round(finished)
    except RecordsError as error:
        context.notice = f"The round was not kept: {error}"


class Practice(BarScreen):
    """A bar to be answered."""

    def __init__(self, context: Context, practice: PracticeRound) -> None:
        super().__init__(context, practice)
        self._best_before: int | None = None
        self._begun = False
        self._told = ""
        self._sure = False
        self._rounds = 0
        self.focus = f"beat {self.round.place}"

    def keys(self) -> Sequence[Key]:
        bindings = self.context.bindings
        return (
            Key(bindings.key("hear"), self.hear_words().lower(), self.hear),
            Key(bindings.key("beat"), "this beat", self._hear_beat),
            *self.listening_keys(),
            Key(bindings.key("take back"), "take back", self._take_back),
            Key("return", "hand in", self._enter),
            Key("escape", "leave", self._leave),
        )

    def tick(self, now: float) -> list[Rect]:
        if not self._begun and not self.stale:
            self.hear()
        if self.loudspeaker.rounds() > self._rounds:
            self._count_hearing()
        return super().tick(now)

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(176))
        ruler, bar, status, tiles = rows(box, [look.u(40), high, look.u(TARGET), None], look.u(14))
        stave = stave_in(look, self.context.level, bar)
        layout = self._layout(stave)
        asked = self.round.question.asked
        places = stave.places(look, layout, asked, self._state, self.round.go_to, self._hand_in)
        return [
            *self.on_staff(look, stave, layout, ruler, places),
            *self._status(look, status),
            *self._tiles(look, tiles),
        ]

    def _layout(self, stave: Stave) -> Layout:
        question, picks = self.round.question, self.round.picks
        beats = range(question.bar.meter.beats)
        figures = [picks[k] if k in picks else question.bar.figures[k] for k in beats]
        return stave.layout(figures, [INK if k in picks else GIVEN for k in beats])

    def _state(self, beat: int) -> str:
        if beat == self.round.place:
            return "current"
        return "empty" if self.round.picks[beat] is None else "filled"

    def _status(self, look: Look, box: Rect) -> list[Widget]:
        words, hear, done = columns(box, [None, look.u(250), look.u(250)], look.u(20))
        told = self._told or self._prompt()
        colour, role = ("warn", "body") if self._told else ("ink", "lead")
        return [
            Label("status", words, told, role, bold=True, colour=colour, middle=True),
            Button("hear", hear, self.hear_words(), self.hear, key=self.context.bindings.key("hear")),
            Button("done", done, "Hand in", self._hand_in, main=self.round.full, key="return"),
        ]

    def _prompt(self) -> str:
        if self.round.full:
            return "All said: hand in, or change a beat."
        return f"Beat {self.round.place + 1}: which figure?"

    def _tiles(self, look: Look, box: Rect) -> list[FigureTile]:
        chosen = self.round.picks.get(self.round.place)
        return self.figure_tiles(look, box, self._pick, chosen, look.u(10))

    # Acts

    def _pick(self, figure: Figure) -> Next:
        self._told, self._sure = "", False
        self.round.pick(figure)
        if self.round.full:
            self.set_focus("done")
        elif not self.focus.startswith("tile"):
            self.set_focus(f"beat {self.round.place}")
        return None

    def _take_back(self) -> Next:
        self._told, self._sure = "", False
        self.round.clear()
        self.set_focus(f"beat {self.round.place}")
        return None

    def _enter(self) -> Next:
        focused = self.focused()
        return focused.press() if focused else self._hand_in()

    def _hand_in(self) -> Next:
        if not self.round.full and not self._sure:
            self._told, self._sure = self._missing(), True
            return None
        self.round.answer(self.context.now())
        if self.round.complete:
            best = self.context.records.best(self.context.player, self.context.level.name)
            self._best_before = best.score if best else None
            keep_round(self.context, self.round)
        return Replace(Reveal(self.context, self.round, self._after_reveal))

    def _after_reveal(self) -> Screen:
        self.round.go_on()
        if self.round.state is State.FINISHED:
            return RoundEnd(self.context, self.round, self._best_before, lambda: open_practice(self.context))
        return Practice(self.context, self.round)

    def _missing(self) -> str:
        empty = [str(place + 1) for place, figure in self.round.picks.items() if figure is None]
        beats = f"Beat {empty[0]} is" if len(empty) == 1 else f"Beats {', '.join(empty)} are"
        return f"{beats} empty. Enter again: hand in all the same."

    def _leave(self) -> Next:
        answered = len(self.round.results)
        if not answered:
            return Pop()
        bars = "1 bar is" if answered == 1 else f"{answered} bars are"
        question = f"Leave this round? The answers of {bars} kept; the round itself gets no score."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))

    # Sound

    def hear(self) -> Next:
        if self.looping:
            self.loudspeaker.stop()
            return None
        return self._play(whole_bar(self.round.question.bar, self.setting, "The bar"))

    def _hear_beat(self) -> Next:
        bar, beat = self.round.question.bar, self.round.place
        return self._play(one_beat(bar, self.setting, beat, f"Beat {beat + 1}"))

    def _play(self, what: Hearing) -> Next:
        self._begun = self.stale = True
        self._rounds = 0
        self._count_hearing(what.passage.time_of_beat(what.passage.figure_bar + 1, 1))
        self.loudspeaker.play(self.repeated(what))
        return None

    def _count_hearing(self, until_end: float = 0.0) -> None:
        """Each time the bar sounds is a hearing, in a loop too."""
        self._rounds += 1
        self.round.hear(self.context.now(), until_end)
        self.stale = True
