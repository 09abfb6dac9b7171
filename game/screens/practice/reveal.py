"""The reveal: the bar as notation, what was said to each beat, and what comes next and why."""

from collections.abc import Callable, Sequence

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.screens.base import Key, Screen
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.screens.practice.bar_screen import BarScreen
from game.sessions.hearing.hearing import as_answered, bars_in_turn, beats_in_turn, one_beat, whole_bar
from game.sessions.practice.round import PracticeRound
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, WRONG, draw_layout, line_in, tile_layout
from game.widgets.stave import Stave, stave_height, stave_in
from game.widgets.text_field import TextField
from game.widgets.verdicts import Aside, Verdict
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import spelling_in
from shared.names import note_names
from shared.notation.engraved import INK, Layout, reach
from shared.spelling import spellings
from shared.sticking import STICKINGS
from shared.syllables import SYSTEMS

LONGEST_WORD = 40

ASIDE_SHARE = 0.72
"""The size of the beats as they were answered, as a share of the bar's own size."""


class Reveal(BarScreen):
    """An answered bar.  ``following`` makes the screen that comes next."""

    def __init__(self, context: Context, practice: PracticeRound, following: Callable[[], Screen]) -> None:
        super().__init__(context, practice)
        self._following = following
        self._result = practice.result
        self._said = dict(zip(practice.question.asked, self._result.said, strict=True))
        self._wrong = {place for place, _, _ in self._result.wrong()}
        asked = practice.question.asked
        self._beat = min(self._wrong, default=asked[0])
        self._word: Edited | None = None
        self.focus = "next"

    @property
    def _bar(self) -> Bar:
        return self.round.question.bar

    def keys(self) -> Sequence[Key]:
        if self._word is not None:
            return (Key("escape", "leave the word as it was", self._stop_writing),)
        word = (Key(self.context.bindings.key("word"), "own word", self._write_word),)
        return (
            Key("return", "go on", self._enter, shown=False),
            Key("left", "other beat", lambda: self._step(-1), cap="Left Right"),
            Key("right", "next beat", lambda: self._step(1), shown=False),
            *self.listening_keys(),
            *(word if self.context.settings.show_words else ()),
            Key("escape", "leave", self._leave),
        )

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(168))
        aside = look.u(116) if self._wrong else 1
        ruler, bar, verdicts, other, info, buttons = rows(
            box, [look.u(34), high, look.u(30), aside, None, look.u(TARGET)], look.u(10)
        )
        stave = stave_in(look, self.context.level, bar)
        layout = self._layout(stave)
        asked = self.round.question.asked
        places = stave.places(look, layout, asked, self._state, self._choose, self._enter)
        return [
            *self.on_staff(look, stave, layout, ruler, places),
            *self._verdicts(look, stave, layout, verdicts),
            *self._aside(stave, other),
            *self._info(look, info),
            *self._buttons(look, buttons),
        ]

    def _layout(self, stave: Stave) -> Layout:
        settings, bar = self.context.settings, self._bar
        tones = [INK if k in self._said else GIVEN for k in range(bar.meter.beats)]
        return stave.layout(bar.figures, tones, STICKINGS[settings.sticking](bar, settings.hand))

    def _state(self, beat: int) -> str:
        if beat in self._wrong:
            return "current wrong" if beat == self._beat else "wrong"
        return "current" if beat == self._beat else "filled"

    def _verdicts(self, look: Look, stave: Stave, layout: Layout, box: Rect) -> list[Widget]:
        found: list[Widget] = []
        for beat, said in self._said.items():
            span = stave.span(layout, beat)
            cell = Rect(span.x + look.u(8), box.y, span.w - look.u(16), box.h)
            right = beat not in self._wrong
            words = "right" if right else "you said" if said else "not answered"
            if beat in self._result.mended:
                right, words = True, "second try"
            found.append(Verdict(f"verdict {beat}", cell, right, words))
        return found

    def _aside(self, stave: Stave, box: Rect) -> list[Widget]:
        beats = tuple(beat for beat in sorted(self._wrong) if self._said[beat])
        if not beats:
            return []
        meter = self._bar.meter
        figures = [self._said[beat] if beat in beats else None for beat in range(meter.beats)]
        small = stave.smaller(box, ASIDE_SHARE)
        layout = small.layout(figures, [WRONG] * meter.beats)
        line = box.y + line_in(box.h, [layout], small.space)
        return [Aside("aside", box, layout, small.space, small.left, line, beats)]

    def _info(self, look: Look, box: Rect) -> list[Widget]:
        figure = self._bar.figures[self._beat]
        others = self._other_spellings(figure)
        about, written, following = columns(box, [box.w * 0.42, look.u(230) if others else 1, None], look.u(28))
        title, words = rows(about, [look.line("lead"), None], look.u(4))
        found: list[Widget] = [
            Label("figure", title, f"Beat {self._beat + 1}: {figure.count_on(self._beat + 1)}", "lead", bold=True),
            *self._words(look, words, figure),
            *self._what_follows(look, following),
        ]
        if others:
            caption, pictures = rows(written, [look.line("lead"), None], look.u(4))
            found.append(Label("also", caption, "Also written", colour="quiet", middle=True))
            found.append(Picture("others", pictures, lambda c, k, r: _draw_row(c, k, r, others)))
        return found

    def _words(self, look: Look, box: Rect, figure: Figure) -> list[Widget]:
        if self._word is None:
            return [Label("names", box, self._in_words(figure))]
        field, _ = rows(box, [look.u(TARGET), None])
        empty = "Your word, then Enter"
        return [TextField("word", field, look, self._word, self._change_word, self._keep_word, empty, LONGEST_WORD)]

    def _in_words(self, figure: Figure) -> str:
        settings = self.context.settings
        lines = [note_names(spelling_in(self.context.level, figure), settings.terms)]
        if settings.count_system != "number" and SYSTEMS[settings.count_system](figure):
            lines.append(f"Said {SYSTEMS[settings.count_system](figure)}")
        if settings.show_words:
            word = self._memory_word(figure)
            lines.append(f"To remember: {word} " if word else "No word yet to remember it by")
        return "\n".join(lines)

    def _memory_word(self, figure: Figure) -> str:
        return self.context.settings.words.get(figure.count) or self.context.level.words.get(figure, "")

    def _other_spellings(self, figure: Figure) -> list[Layout]:
        usual = spelling_in(self.context.level, figure)
        return [tile_layout(figure, other, count=False) for other in spellings(figure) if other != usual][:2]

    def _what_follows(self, look: Look, box: Rect) -> list[Widget]:
        title, words = rows(box, [look.line("lead"), None], look.u(4))
        upcoming = self.round.upcoming
        if upcoming is None:
            return [Label("next title", title, "That was the last bar of the round", "lead", bold=True)]
        return [
            Label("next title", title, "Next", "lead", bold=True),
            Label("reason", words, upcoming.reason),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        go_on = "Next bar" if self.round.upcoming else "See the round"
        key = self.context.bindings.key
        hear = self.hear_words() if self.looping else "The bar"
        shown = [("next", go_on, self._go_on, "return"), ("hear", hear, self.hear, key("hear"))]
        if self._wrong:
            shown.append(("answered", "Your answer", self._hear_answered, key("answer")))
            shown.append(("both", "Both in turn", self._hear_both, key("both")))
        both = ", both" if self._beat in self._wrong else ""
        shown.append(("beat", f"Beat {self._beat + 1}{both}", self._hear_beat, key("beat")))
        cells = columns(box, [None] * 5, look.u(16))
        return [
            Button(name, cell, text, act, main=name == "next", key=key)
            for cell, (name, text, act, key) in zip(cells, shown, strict=False)
        ]

    # Acts

    def _enter(self) -> Next:
        focused = self.focused()
        return focused.press() if focused and not focused.name.startswith("beat ") else self._go_on()

    def _go_on(self) -> Next:
        return Replace(self._following())

    def _write_word(self) -> Next:
        if self.context.settings.show_words:
            self._word = Edited.at_end(self._memory_word(self._bar.figures[self._beat]))
            self.focus = "word"
        return None

    def _change_word(self, word: Edited) -> None:
        self._word = word

    def _keep_word(self) -> Next:
        """Keep the word for this figure; without one the level's own comes back."""
        text = self._word.text.strip() if self._word else ""
        words = {**self.context.settings.words, self._bar.figures[self._beat].count: text}
        self.context.change_settings(words={count: word for count, word in words.items() if word})
        return self._stop_writing()

    def _stop_writing(self) -> Next:
        self._word, self.focus = None, "next"
        return None

    def _choose(self, beat: int) -> None:
        self._beat = beat

    def _step(self, step: int) -> Next:
        asked = self.round.question.asked
        self._beat = asked[(asked.index(self._beat) + step) % len(asked)]
        return None

    def _leave(self) -> Next:
        if self.round.upcoming is None:
            return Pop()
        question = "Leave this round? Every answer is kept; the round itself gets no score."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))

    @property
    def _answered(self) -> Bar:
        return as_answered(self._bar, self._said)

    def hear(self) -> Next:
        if self.looping:
            self.loudspeaker.stop()
        else:
            self.loudspeaker.play(self.repeated(whole_bar(self._bar, self.setting, "The bar")))
        return None

    def _hear_answered(self) -> Next:
        self.loudspeaker.play(self.repeated(whole_bar(self._answered, self.setting, "As you said")))
        return None

    def _hear_both(self) -> Next:
        self.loudspeaker.play(bars_in_turn(self._bar, self._answered, self.setting))
        return None

    def _hear_beat(self) -> Next:
        """The chosen beat alone; a wrong one as it was played, then as it was said."""
        beat = self._beat
        if beat in self._wrong:
            self.loudspeaker.play(beats_in_turn(self._bar, self._answered, self.setting, beat))
        else:
            self.loudspeaker.play(self.repeated(one_beat(self._bar, self.setting, beat, "As played")))
        return None


def _draw_row(canvas: Surface, look: Look, box: Rect, layouts: Sequence[Layout]) -> None:
    """Draw a few layouts side by side on one line."""
    cells = columns(box, [None] * len(layouts), look.u(10))
    space = min(fit(layouts, cells[0].w, box.h), look.u(9))
    above, _ = reach(layouts)
    for cell, layout in zip(cells, layouts, strict=True):
        draw_layout(canvas, look, layout, (cell.x, cell.y + round(above * space)), space)
