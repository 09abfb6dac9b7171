"""Say it and play it, the first half: a bar is heard, and its figures are picked."""

from collections.abc import Sequence

from pygame import Rect

from game.learning.marking import marked
from game.screens.answering.answering import AnsweringScreen
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.playing.ears import HabitMemory
from game.screens.playing.playing import PlayBar
from game.sessions.answering.sheet import Sheet
from game.sessions.hearing.hearing import whole_bar
from game.sessions.playing.playing import Playing, PlayingWay
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Replace
from game.widgets.stave import stave_height, stave_in
from shared.figures import Figure


class SayIt(AnsweringScreen):
    """A bar that is heard and named, and then leads to its playing."""

    def __init__(self, context: Context, playing: Playing, memory: HabitMemory | None = None) -> None:
        super().__init__(context)
        self.playing = playing
        self._memory = memory or HabitMemory(context)
        # Only the beats that are played by now: in steps a bar begins with fewer than all.
        self._sheet: Sheet[Figure] = Sheet(range(playing.size), context.level.figures)
        self.focus = "hear"

    @property
    def sheet(self) -> Sheet[Figure]:
        return self._sheet

    @property
    def given(self) -> Sequence[Figure | None]:
        return self.playing.bar.figures

    def heading(self) -> Heading:
        level = self.context.level
        tempo = self.context.tempo_words(self.playing.tempo)
        return Heading(PlayingWay.SAID.value, f"{level.title}\n{tempo}", self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            Key(self.context.bindings.key("hear"), self.or_stop("hear the bar"), self._hear),
            *self.answering_keys(),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(176))
        ruler, bar, status, tiles = rows(box, [look.u(40), high, look.u(TARGET), None], look.u(12))
        words, hear, done = columns(status, [None, look.u(240), look.u(240)], look.u(20))
        stave = stave_in(look, self.context.level, bar)
        told = self.told or ("Hear the bar, then say it." if not self.sheet.hearings else self.prompt())
        key, full = self.context.bindings.key("hear"), self.sheet.full
        colour, role = ("warn", "body") if self.told else ("ink", "lead")
        hears = self.or_stop("hear the bar").capitalize()
        return [
            *self.answer_staff(look, ruler, stave),
            Label("status", words, told, role, bold=True, colour=colour, middle=True),
            Button("hear", hear, hears, self._hear, key=key, main=not self.sheet.hearings),
            Button("done", done, "Hand in", self.try_to_hand_in, key="return", main=full),
            *self.tiles(look, tiles, look.u(10)),
        ]

    def _hear(self) -> Next:
        if self.sounds:
            self.loudspeaker.stop()
            return None
        heard = whole_bar(self.playing.bar, self.playing.setting, "The bar")
        self.sheet.hear(self.context.now(), heard.passage.time_of_beat(heard.passage.figure_bar + 1, 1))
        self.loudspeaker.play(heard)
        return None

    def try_to_hand_in(self) -> Next:
        if not self.sheet.hearings:
            self.told = "Hear the bar first."
            return None
        return super().try_to_hand_in()

    def hand_in(self) -> Next:
        """Keep what was said, as what the ear knows, and go on to play the bar."""
        now, sheet = self.context.now(), self.sheet
        question = self.playing.said_question(now)
        # Without a coach, as none asks here: it finds the answers in the log when next it is made.
        answers = marked(question, sheet.answers, now, self.context.level.name, **sheet.how(now)).answers
        # Before a word is said of it, as in practice: what was seen to be wrong can't be taken back.
        self.context.keep(question.id, answers)
        self.loudspeaker.stop()
        words = self._verdict(sheet.answers)
        return Replace(PlayBar(self.context, self.playing, PlayingWay.SAID, words, self._memory, self._again))

    def _again(self) -> Next:
        return Replace(SayIt(self.context, self.playing, self._memory))

    def _verdict(self, said: Sequence[Figure | None]) -> str:
        # In steps fewer beats are said than the bar has; its others are silent.
        pairs = list(enumerate(zip(self.playing.bar.figures, said, strict=False), 1))
        wrong = [(beat, heard, other) for beat, (heard, other) in pairs if heard != other]
        if not wrong:
            return "Right. Now play it."
        beat, heard, other = wrong[0]
        named = self.context.level.named
        told = [f"Beat {beat} was {named(heard, beat)}; you said nothing."]
        if other:
            told = [f"Beat {beat} was {named(heard, beat)}; you said {named(other, beat)}."]
        if len(wrong) > 1:
            told.append(f"Other beats that were not so: {len(wrong) - 1}.")
        return " ".join((*told, "Now play the bar."))
