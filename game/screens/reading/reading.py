"""Reading the other way: the bar is written, and the ear finds which one it is, or which beat is not in it."""

from collections.abc import Sequence
from dataclasses import replace

from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.listening_screen import ListeningScreen, pace_words
from game.screens.notices.dialog import Dialog
from game.screens.practice.reasons import figures_picture
from game.screens.reading.charts import open_charts
from game.sessions.hearing.hearing import whole_bar
from game.sessions.reading.reading import ReadingQuestion, ReadingRound, Task
from game.widgets.base import Act, Label, Picture, Widget
from game.widgets.boxes import columns, grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import WRONG
from game.widgets.pairs import draw_figures, in_turn
from game.widgets.stave import Stave, stave_in
from game.wording import how_often
from shared.bars import Bar
from shared.difference import difference
from shared.figures import Figure
from shared.notation.engraved import INK, Layout

SIDES = ("It is written so", "It was played so")
"""The words over the two figures of a beat that was otherwise."""

NOTE = (
    "Ten questions each, and of a chart as many as you like. They train reading and leave your practice score as it is."
)

MISSED = "Not told apart: as it was written, and what was played"
MOST_MISSED = 3

WRITTEN = "As written"
"""The words over the bar that is written while it sounds."""


class ReadingStart(Screen):
    """Chooses one of the two tasks."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self.focus = Task.WHICH_BAR.value

    def heading(self) -> Heading:
        return Heading("Reading", self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "home", Pop),)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        gap = look.u(20)
        words, bar, beat, chart, note, shown = rows(
            box, [look.line("lead"), look.u(92), look.u(92), look.u(92), look.height(NOTE, box.w), None], gap
        )
        return [
            Label("words", words, "Here the bar is written, and you find it by ear.", "lead", middle=True),
            Button(
                Task.WHICH_BAR.value, bar, "Which bar?", self._begins(Task.WHICH_BAR), main=True, key="1",
                about="Three or four bars are heard; one is the bar on the page",
            ),
            Button(
                Task.WHICH_BEAT.value, beat, "Which beat?", self._begins(Task.WHICH_BEAT), key="2",
                about="One bar is heard; one of its beats is not what is written",
            ),
            Button(
                "chart", chart, "A chart", lambda: Push(open_charts(self.context)), key="3",
                about="A whole piece with fills: follow it, find your way in it, find a figure by ear",
            ),
            Label("note", note, NOTE),
            *self._example(look, shown),
        ]  # fmt: skip

    def _example(self, look: Look, box: Rect) -> list[Widget]:
        """A bar of the level as it will be written, where the page has room for it."""
        title, picture = rows(box, [look.line(), None], look.u(8))
        if picture.h < look.u(70):
            return []
        level = self.context.level
        figures = [level.figures[k % len(level.figures)] for k in range(level.meter.beats)]
        stave = stave_in(look, level, picture)
        return [
            Label("example title", title, "A bar of this level, as the page has it:", colour="quiet", middle=True),
            stave.staff(stave.layout(figures)),
        ]

    def _begins(self, task: Task) -> Act:
        return lambda: Replace(open_reading(self.context, task))


def open_reading(context: Context, task: Task) -> "ReadingPage":
    """A new round of reading, whose wrong bars hold what the player's coach expects to be mixed up.

    It begins at full tempo: what was slowed down for one round is not for all.
    """
    context.listening = replace(context.listening, pace=1.0)
    return ReadingPage(context, task, ReadingRound(context.level, task, context.seed(), context.coach().confusion()))


class ReadingPage(ListeningScreen):
    """A round of reading."""

    def __init__(self, context: Context, task: Task, reading: ReadingRound) -> None:
        super().__init__(context)
        self.task = task
        self.round = reading
        self._told = ""
        # None yet: the one after it is the first.
        self._last = -1
        self._playing = ""
        self.focus = "hear 0"

    @property
    def _question(self) -> ReadingQuestion:
        return self.round.question

    def heading(self) -> Heading:
        where = f"{self.round.number} of {len(self.round.questions)}, {self.round.right} right"
        title = "Which bar?" if self.task is Task.WHICH_BAR else "Which beat?"
        tempo, listening = self._question.setting.tempo, self.context.listening
        pace = pace_words(listening, tempo)
        left = f"{self.context.level.title}\n{self.context.tempo_words(tempo)}"
        return Heading(title, f"{pace or left}\n{listening.told()}".strip(), where, stress=bool(pace))

    def keys(self) -> Sequence[Key]:
        if self.round.finished:
            return (Key("return", "another round", self._again), Key("escape", "home", Pop))
        shown, key = self.round.revealed, self.context.bindings.key
        hear = "stop" if self.stops else "hear the next"
        return (
            Key(key("hear"), hear, self._hear_next),
            Key(key("beat"), "this one again", self.hear),
            *self.listening_keys(),
            *((Key("return", "go on", self._go_on),) if shown else ()),
            *((Key("w", "hear what is written", self._hear_written, shown=False),) if shown else ()),
            Key("escape", "leave", self._leave),
        )

    @property
    def tells_sound(self) -> bool:
        return self.sounds

    def body(self, look: Look, box: Rect) -> list[Widget]:
        if self.round.finished:
            return self._end(look, box)
        ruler, bar, status, answers = rows(box, [look.u(40), look.u(190), look.line("lead") * 2, None], look.u(16))
        stave = stave_in(look, self.context.level, bar)
        layout = self._layout(stave)
        colour = "warn" if self._told and not self.round.revealed else "ink"
        return [
            *self.on_staff(look, stave, layout, ruler, self._places(look, stave, layout)),
            Label("status", status, self._told or self._says(), "lead", bold=True, colour=colour, middle=True),
            *self._answers(look, answers),
        ]

    def _layout(self, stave: Stave) -> Layout:
        """The written bar; once it is answered, the beat that was otherwise is marked."""
        question = self._question
        tones = [INK] * question.shown.meter.beats
        if self.round.revealed and self.task is Task.WHICH_BEAT:
            tones[question.answer] = WRONG
        return stave.layout(question.shown.figures, tones)

    def _places(self, look: Look, stave: Stave, layout: Layout) -> list[Widget]:
        if self.task is Task.WHICH_BAR or self.round.revealed:
            return []
        beats = range(self._question.shown.meter.beats)
        return [*stave.places(look, layout, beats, lambda _: "filled", _nothing, self._pick_focused)]

    def _says(self) -> str:
        """The next thing to do, in a sentence."""
        left = [str(k + 1) for k, times in enumerate(self.round.heard) if not times]
        if self.task is Task.WHICH_BEAT:
            return "Hear the bar." if left else "Which beat is not as it is written?"
        if len(left) == len(self.round.heard):
            return "Hear every bar; one of them is the one that is written."
        return f"Still to hear: {', '.join(left)}." if left else "Which bar is the one that is written?"

    def _answers(self, look: Look, box: Rect) -> list[Widget]:
        heard = len(self._question.heard)
        if self.round.revealed:
            return self._revealed(look, box)
        # Bars to hear above, answers below: of the two rows the longer one gives the columns.
        across = columns(box, [None] * max(heard, self._question.options), look.u(16))
        found: list[Widget] = [self._hear_button(k, _upper(look, across[k])) for k in range(heard)]
        for k in range(self._question.options):
            label = f"It is bar {k + 1}" if heard > 1 else f"Beat {k + 1}"
            lower, key = _lower(look, across[k]), self.context.bindings.tiles[k]
            found.append(Button(f"pick {k}", lower, label, self._picks(k), key=key, main=self.round.may_pick))
        return found

    def _hear_button(self, option: int, box: Rect) -> Button:
        """Hears a bar; it says how often that was heard, and stands out where it sounds or comes next."""
        name = f"Bar {option + 1}" if len(self._question.heard) > 1 else "The bar"
        times = self.round.heard[option]
        label = f"{name}: heard {how_often(times)}" if times else f"Hear {name[0].lower()}{name[1:]}"
        caption = _bar_words(option)
        # The button of the next bar to hear stands out; -1 once all were heard, which is none of them.
        first = next((k for k, heard in enumerate(self.round.heard) if not heard), -1)
        lit = self._is_heard(caption)
        return Button(f"hear {option}", box, label, self._hears(option), option == first, lit=lit)

    def _is_heard(self, caption: str) -> bool:
        """Whether the bar of that caption sounds, or its count-in."""
        return self.sounds and self._playing == caption

    def _apart(self, look: Look, box: Rect) -> list[Widget]:
        """The beat that was otherwise: as it is written, and as it was played."""
        question, level = self._question, self.context.level
        pair = tuple(bar.figures[question.answer] for bar in (question.shown, question.heard[0]))
        heads, drawn = rows(box, [look.line("small"), None], look.u(4))
        # Of four columns two are used: wider ones would tear the two figures apart.
        cells = columns(heads, [None] * 4, look.u(10))
        return [
            *(Label(word.lower(), cell, word, "small") for cell, word in zip(cells, SIDES, strict=False)),
            Picture("apart", Rect(drawn.x, drawn.y, cells[2].x - drawn.x, drawn.h),
                    lambda canvas, look, box: draw_figures(canvas, look, box, level, pair)),
        ]  # fmt: skip

    def _revealed(self, look: Look, box: Rect) -> list[Widget]:
        question, keys = self._question, self.context.bindings.tiles
        number = len(question.heard)
        high = look.u(TARGET + 6) if self.task is Task.WHICH_BEAT else box.h
        box, below = Rect(box.x, box.y, box.w, high), Rect(box.x, box.y + high, box.w, box.h - high)
        cells = grid(box, number + 2, max(3, number), look.u(16), tallest=look.u(TARGET + 6))
        labels = [f"Hear bar {k + 1}" for k in range(number)] if number > 1 else ["Hear what was played"]
        if number > 1:
            # In words, so that it does not hang on a colour.
            labels[question.answer] += ", as written"
        return [
            *(self._apart(look, below.inflate(0, -look.u(24))) if self.task is Task.WHICH_BEAT else ()),
            *(
                Button(f"hear {k}", cell, label, self._hears(k), key=keys[k], lit=self._is_heard(_bar_words(k)))
                for k, (cell, label) in enumerate(zip(cells, labels, strict=False))
            ),
            Button(
                "written", cells[number], "Hear what is written", self._hear_written, key="w",
                lit=self._is_heard(WRITTEN),
            ),
            Button("next", cells[number + 1], "Go on", self._go_on, main=True, key="return"),
        ]  # fmt: skip

    def _end(self, look: Look, box: Rect) -> list[Widget]:
        score, words, missed, buttons = rows(
            box, [look.line("huge"), look.line("lead") * 2, None, look.u(TARGET)], look.u(16)
        )
        again, home, _ = columns(buttons, [look.u(300), look.u(220), None], look.u(20))
        right, number = self.round.right, len(self.round.questions)
        hearings = sum(result.hearings for result in self.round.results)
        told = f"{number} questions with {hearings} hearings. Guessing would bring about {self._by_chance():.0f}."
        return [
            Label("score", score, f"{right} of {number} right", "huge", bold=True, middle=True),
            Label("told", words, told, "lead"),
            *self._missed(look, missed),
            Button("again", again, "Another round", self._again, main=True),
            Button("home", home, "Home", Pop),
        ]

    def _missed(self, look: Look, box: Rect) -> list[Widget]:
        """The figures that were not told apart, drawn, each two with what to listen for, and to be heard in turn."""
        title, lines = rows(box, [look.line("lead"), None], look.u(10))
        found = self.round.missed[:MOST_MISSED]
        if not found:
            return [Label("missed", title, "Nothing was taken for anything else.", "lead", bold=True, middle=True)]
        # In large type fewer find room: the most frequent come first.
        found = found[: max(1, lines.h // look.u(70))]
        cells = grid(lines, len(found), 1, look.u(10), tallest=look.u(110))
        parts: list[Widget] = [Label("missed", title, MISSED, "lead", bold=True, middle=True)]
        for k, (cell, pair) in enumerate(zip(cells, found, strict=True)):
            drawn, words, hear = columns(cell, [cell.w * 0.34, None, look.u(170)], look.u(16))
            button = Rect(hear.x, hear.centery - look.u(TARGET) // 2, hear.w, look.u(TARGET))
            parts += [
                figures_picture(f"missed {k}", drawn, self.context.level, pair),
                Label(f"apart {k}", words, difference(*pair, words=self.context.level.shown).sentence, middle=True),
                Button(f"hear pair {k}", button, "Hear both", self._hears_both(pair), key=str(k + 1),
                       lit=self._is_heard(f"{pair}")),
            ]  # fmt: skip
        return parts

    def _hears_both(self, pair: tuple[Figure, Figure]) -> Act:
        def act() -> Next:
            self._playing = f"{pair}"
            bar = in_turn(self.context.level, *pair)
            # Once and never over and over: no key here would stop it.
            self.loudspeaker.play(whole_bar(bar, self.context.as_chosen(self._question.setting), self._playing))
            return None

        return act

    def _by_chance(self) -> float:
        # The expected number of right guesses: chances add up, however different the questions are.
        return sum(1 / question.options for question in self.round.questions)

    def _hears(self, option: int) -> Act:
        return lambda: self._hear(option)

    def _picks(self, option: int) -> Act:
        return lambda: self._pick(option)

    def _hear(self, option: int) -> Next:
        self._last = option
        if not self.round.revealed:
            self._told = ""
        self._sound(self.round.hear(option, self.context.now()), _bar_words(option))
        return None

    def _hear_next(self) -> Next:
        """The bar after the one heard last: the key goes round them; one that sounds over and over is stopped."""
        if self.stops:
            self.loudspeaker.stop()
            return None
        return self._hear((self._last + 1) % len(self._question.heard))

    def hear(self) -> Next:
        """Hear the bar heard last again; before any was, the first."""
        return self._hear(max(0, self._last))

    def hear_words(self) -> str:
        return "Hear it again"

    def _hear_written(self) -> Next:
        self._sound(self._question.shown, WRITTEN)
        return None

    def _sound(self, bar: Bar, caption: str) -> None:
        self._playing = caption
        once = whole_bar(bar, self.context.as_chosen(self._question.setting), caption)
        self.loudspeaker.play(self.repeated(once))

    def _pick_focused(self) -> Next:
        name = self.focus
        return self._pick(int(name.removeprefix("beat "))) if name.startswith("beat ") else None

    def _pick(self, option: int) -> Next:
        if not self.round.may_pick:
            self._told = "Hear every bar first." if self.task is Task.WHICH_BAR else "Hear the bar first."
            return None
        result = self.round.pick(option)
        self._told = self._verdict(result.right)
        self.focus = "next"
        return None

    def _verdict(self, right: bool) -> str:
        question = self._question
        word = "Right." if right else "Not this one."
        if self.task is Task.WHICH_BAR:
            return f"{word} Bar {question.answer + 1} is the one that is written."
        return f"{word} Beat {question.answer + 1} is not as it is written."

    def _go_on(self) -> Next:
        self.loudspeaker.stop()
        self.round.go_on()
        self._told, self._last = "", -1
        self.focus = "again" if self.round.finished else "hear 0"
        return None

    def _again(self) -> Next:
        return Replace(open_reading(self.context, self.task))

    def _leave(self) -> Next:
        if not self.round.results:
            return Pop()
        question = "Leave this round? Reading has no score to lose."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))


def _bar_words(option: int) -> str:
    """The words over a bar while it sounds."""
    return f"Bar {option + 1}"


def _upper(look: Look, box: Rect) -> Rect:
    return Rect(box.x, box.y, box.w, look.u(TARGET))


def _lower(look: Look, box: Rect) -> Rect:
    return Rect(box.x, box.y + look.u(TARGET + 16), box.w, look.u(TARGET))


def _nothing(beat: int) -> None:
    """A beat that has the focus is not picked yet."""
