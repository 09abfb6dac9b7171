"""The reveal: the bar as notation, what was said to each beat, and what comes next and why."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from pygame import Rect, Surface

from game.engraving.surface import fit
from game.screens.base import Key, Screen
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.screens.practice.bar_screen import BarScreen
from game.screens.practice.reasons import reason_below
from game.sessions.hearing.hearing import (
    AS_PLAYED,
    AS_SAID,
    as_answered,
    bars_in_turn,
    beats_in_turn,
    one_beat,
    whole_bar,
)
from game.sessions.practice.round import PracticeRound
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.comparison import Comparison, Lit
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import GIVEN, Staff, draw_layout, line_in, tile_layout
from game.widgets.stave import Stave, stave_height, stave_in
from game.widgets.text_field import TextField
from game.widgets.texts import Verdict
from shared.bars import Bar
from shared.difference import difference
from shared.figures import Figure
from shared.levels import spelled, spelling_in
from shared.names import note_names
from shared.notation.engraved import INK, Layout, reach
from shared.notation.kit_staff import lay_out_kit
from shared.notation.page import Dress
from shared.orchestration import Setting, arrange
from shared.spelling import spellings
from shared.sticking import STICKINGS
from shared.syllables import SYSTEM_NAMES, SYSTEMS

LONGEST_WORD = 40

LARGEST_SPACE = 15
"""The largest staff space of two figures side by side, in units."""

THE_BAR = "The bar"


class Reveal(BarScreen):
    """An answered bar.  ``following`` makes the screen that comes next."""

    def __init__(self, context: Context, practice: PracticeRound, following: Callable[[], Screen]) -> None:
        super().__init__(context, practice)
        self._following = following
        self._result = practice.result
        self.said = dict(zip(practice.question.asked, self._result.said, strict=True))
        worst_first = practice.largest_first()
        self._wrong = set(worst_first)
        # Where most is to be learned: the mix-up that came most often in this round.
        self.beat = next(iter(worst_first), practice.question.asked[0])
        self._word: Edited | None = None
        self._heard_at: int | None = None
        self._lit: Lit = None
        self.focus = "next"

    @property
    def bar(self) -> Bar:
        return self.round.question.bar

    @property
    def _mixed(self) -> bool:
        """Whether the chosen beat was taken for another figure, so that the two can be set side by side."""
        return self.beat in self._wrong and self.said[self.beat] is not None

    def keys(self) -> Sequence[Key]:
        if self._word is not None:
            return (
                Key("return", "keep the word", self._keep_word),
                Key("escape", "leave the word as it was", self._stop_writing),
            )
        word = (Key(self.context.bindings.key("word"), "own word", self._write_word),)
        return (
            Key("return", "go on", self._enter, shown=False),
            Key("left", "other beat", lambda: self._step(-1), cap="Left Right"),
            Key("right", "next beat", lambda: self._step(1), shown=False),
            *self.listening_keys(),
            *(word if self.context.settings.show_words else ()),
            Key("escape", "leave", self._leave),
        )

    def tick(self, now: float) -> list[Rect]:
        # Once the page is painted: the sound of a mistake must not begin before the eye can follow it.
        if self._heard_at is None and not self.stale:
            self._sound_by_itself()
        areas = super().tick(now)
        lit, self._lit = self._lit, self._sounding()
        return areas if lit == self._lit else [*areas, *(one.rect for one in self.widgets if one.name == "apart")]

    def _sound_by_itself(self) -> None:
        """A mistake reaches the ear: what it was, what was said, what it was."""
        self._heard_at = self.beat
        if self._mixed and self.context.settings.sound_mistakes:
            self._hear_beat()

    def _sounding(self) -> Lit:
        """The stroke that sounds now in the chosen beat, as it was played or as it was said."""
        moment = self.loudspeaker.moment()
        if moment is None or moment.beats is None or not self._mixed:
            return None
        # The upper line has the beat as it was played, the lower one as it was said.
        row = int(moment.caption == AS_SAID)
        if moment.caption not in (AS_PLAYED, AS_SAID, THE_BAR) or not 0 <= moment.beats - self.beat < 1:
            return None
        figure = self.said[self.beat] if row else self.bar.figures[self.beat]
        begun = [onset for onset in figure.onsets if onset <= moment.beats - self.beat] if figure else []
        return (row, begun[-1]) if begun else None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        high = stave_height(look, self.context.level, box.w, look.u(150))
        ruler, bar, verdicts, info, buttons = rows(
            box, [look.u(34), high, look.u(30), None, look.u(TARGET)], look.u(10)
        )
        stave = stave_in(look, self.context.level, bar)
        layout = self._layout(stave)
        asked = self.round.question.asked
        places = stave.places(look, layout, asked, self._state, self._choose, self._enter)
        seen, about, after = columns(info, [None, info.w * 0.22, info.w * 0.27], look.u(24))
        return [
            *self.on_staff(look, stave, layout, ruler, places),
            *self._verdicts(look, stave, layout, verdicts),
            *(self._apart(look, seen) if self.beat in self._wrong else self._on_the_kit(look, seen)),
            *self._about(look, about),
            *self._what_follows(look, after),
            *self._buttons(look, buttons),
        ]

    def _layout(self, stave: Stave) -> Layout:
        settings, bar = self.context.settings, self.bar
        tones = [INK if k in self.said else GIVEN for k in range(bar.meter.beats)]
        return stave.layout(bar.figures, tones, STICKINGS[settings.sticking](bar, settings.hand))

    def _state(self, beat: int) -> str:
        if beat in self._wrong:
            return "current wrong" if beat == self.beat else "wrong"
        return "current" if beat == self.beat else "filled"

    def _verdicts(self, look: Look, stave: Stave, layout: Layout, box: Rect) -> list[Widget]:
        found: list[Widget] = []
        for beat, said in self.said.items():
            span = stave.span(layout, beat)
            cell = Rect(span.x + look.u(8), box.y, span.w - look.u(16), box.h)
            right = beat not in self._wrong
            words = (
                "right"
                if right
                else f"you said {self.context.level.as_shown(said.count_on(beat + 1))}"
                if said
                else "not sure"
                if beat in self._result.unsure
                else "not answered"
            )
            if beat in self._result.mended:
                right, words = True, "second try"
            found.append(Verdict(f"verdict {beat}", cell, right, words))
        return found

    def _apart(self, look: Look, box: Rect) -> list[Widget]:
        """The figure that was played and the one that was said, one above the other, and how they differ."""
        played, said = self.bar.figures[self.beat], self.said[self.beat]
        unsaid = "You were not sure." if self.beat in self._result.unsure else "Nothing was said to this beat."
        told = difference(played, said, words=self.context.level.shown).sentence if said else unsaid
        sentence, apart = rows(box, [min(look.height(told, box.w, "lead", True), box.h // 3), None], look.u(8))
        written = [(figure, spelling_in(self.context.level, figure)) for figure in (played, said) if figure]
        words = ["It was", "You said"] if said else ["It was"]
        return [
            Label("sentence", sentence, told, "lead", bold=True, middle=True),
            Comparison("apart", apart, written, words, lambda: self._lit, look.u(LARGEST_SPACE)),
        ]

    def _on_the_kit(self, look: Look, box: Rect) -> list[Widget]:
        """The bar as it lies on the drums, with its sticking."""
        told = f"Round the kit: {self._kit_words}"
        title, staff = rows(box, [look.height(told, box.w, "lead", True), None], look.u(6))
        passage = arrange(self.bar, self._kit_setting)
        dress = Dress(spelled(self.context.level), hands=())
        # Laid out twice: narrow, to find the staff space, then with what is left over spread over the beats.
        narrow = lay_out_kit(passage, dress)
        space = min(fit([narrow], staff.w, staff.h), look.u(11))
        beats = self.bar.meter.beats
        spare = staff.w / space - narrow.width
        # Twenty spaces at most: wider beats no longer look like one bar.
        wide = lay_out_kit(passage, replace(dress, least_beat=min(20.0, narrow.beat_width + max(0.0, spare) / beats)))
        line = staff.y + line_in(staff.h, [wide], space)
        return [
            Label("kit title", title, told, "lead", bold=True, middle=True),
            Staff("kit", staff, wide, space, staff.x, line),
        ]

    @property
    def _kit_setting(self) -> Setting:
        """The bar round the drums: as it was played, or from drum to drum where that was on one drum alone."""
        name = self.setting.orchestration
        return replace(self.setting, orchestration="down-the-kit" if name == "snare" else name)

    @property
    def _kit_words(self) -> str:
        return "a drum for each beat" if self.setting.orchestration == "snare" else "as it was played"

    def _about(self, look: Look, box: Rect) -> list[Widget]:
        figure = self.bar.figures[self.beat]
        counted_as = self.context.level.as_shown(figure.count_on(self.beat + 1))
        others = self._other_spellings(figure)
        title, words, caption, pictures = rows(
            box, [look.line("lead"), None, look.line() if others else 1, look.u(66) if others else 1], look.u(4)
        )
        found: list[Widget] = [
            Label(
                "figure",
                title,
                f"Beat {self.beat + 1}: {counted_as}",
                "lead",
                bold=True,
            ),
            *self._words(look, words, figure),
        ]
        if others:
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
        system = settings.count_system
        if system != "number" and SYSTEMS[system](figure):
            lines.append(f"{SYSTEM_NAMES[system]}: {SYSTEMS[system](figure)}")
        if settings.show_words:
            word = self._memory_word(figure)
            lines.append(f"To remember: {word}" if word else "No word yet to remember it by")
        return "\n".join(lines)

    def _memory_word(self, figure: Figure) -> str:
        return self.context.settings.words.get(figure.count) or self.context.level.words.get(figure, "")

    def _other_spellings(self, figure: Figure) -> list[Layout]:
        usual = spelling_in(self.context.level, figure)
        # Two find room beside the words; the page of figures has them all.
        return [tile_layout(figure, other, count=False) for other in spellings(figure) if other.code != usual.code][:2]

    def _what_follows(self, look: Look, box: Rect) -> list[Widget]:
        result, upcoming = self._result, self.round.upcoming
        why = f"{', '.join(result.why)}.".capitalize()
        # Many reasons for the points must not push out why the next bar comes.
        earned, told, title, reason = rows(
            box,
            [look.line("lead"), min(look.height(why, box.w), box.h // 4), look.line("lead"), None],
            look.u(4),
        )
        found: list[Widget] = [
            Label("earned", earned, f"{result.points} of {result.possible} points", "lead", bold=True),
            Label("why", told, why),
        ]
        if self.round.has_second:
            words = "The second of the two bars."
            return [
                *found,
                Label("next title", title, "Next", "lead", bold=True),
                Label("reason", reason, words),
            ]
        if upcoming is None:
            return [*found, Label("next title", title, "That was the last bar", "lead", bold=True)]
        return [
            *found,
            Label("next title", title, "Next", "lead", bold=True),
            *reason_below(look, reason, self.context.level, upcoming.reason),
        ]

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        go_on = "Next bar" if self.round.upcoming or self.round.has_second else "See the round"
        key = self.context.bindings.key
        hear = "Stop" if self.stops else "The bar"
        shown = [("next", go_on, self._go_on, "return"), ("hear", hear, self.hear, key("hear"))]
        # Without a figure said on a wrong beat "your answer" would only have a hole in it.
        if any(self.said[beat] for beat in self._wrong):
            shown.append(("answered", "Your answer", self._hear_answered, key("answer")))
            shown.append(("both", "Both in turn", self._hear_both, key("both")))
        elif not self._wrong:
            # All was right, and there is nothing to compare: the bar is heard otherwise instead.
            shown.append(("both", "Round the kit", self._hear_on_the_kit, key("both")))
        both = ", both" if self._mixed else ""
        shown.append(("beat", f"Beat {self.beat + 1}{both}", self._hear_beat, key("beat")))
        cells = columns(box, [None] * len(shown), look.u(16))
        return [
            Button(name, cell, text, act, main=name == "next", key=key)
            for cell, (name, text, act, key) in zip(cells, shown, strict=True)
        ]

    def _enter(self) -> Next:
        focused = self.focused()
        # To press a beat would only choose it once more: there, too, Enter goes on.
        return focused.press() if focused and not focused.name.startswith("beat ") else self._go_on()

    def _go_on(self) -> Next:
        return Replace(self._following())

    def _write_word(self) -> Next:
        if self.context.settings.show_words:
            self._word = Edited.selected_whole(self._memory_word(self.bar.figures[self.beat]))
            self.focus = "word"
        return None

    def _change_word(self, word: Edited) -> None:
        self._word = word

    def _keep_word(self) -> Next:
        """Keep the word for this figure; without one the level's own comes back."""
        text = self._word.text.strip() if self._word else ""
        words = {**self.context.settings.words, self.bar.figures[self.beat].count: text}
        self.context.change_settings(words={count: word for count, word in words.items() if word})
        return self._stop_writing()

    def _stop_writing(self) -> Next:
        self._word, self.focus = None, "next"
        return None

    def _choose(self, beat: int) -> None:
        """Look at another beat; where it was wrong it sounds by itself, and what sounded of the last one ends."""
        if beat != self.beat:
            self.beat = beat
            self.loudspeaker.stop()
            self._sound_by_itself()

    def _step(self, step: int) -> Next:
        asked = self.round.question.asked
        self._choose(asked[(asked.index(self.beat) + step) % len(asked)])
        return None

    def _leave(self) -> Next:
        if self.round.upcoming is None:
            return Pop()
        question = "Leave this round? Every answer is kept; the round itself gets no score."
        return Push(Dialog(self.context, question, "Stay", "Leave the round", lambda: Pop(self)))

    @property
    def _answered(self) -> Bar:
        return as_answered(self.bar, self.said)

    def hear(self) -> Next:
        if self.stops:
            self.fall_silent()
        else:
            self.loudspeaker.play(self.repeated(whole_bar(self.bar, self.setting, THE_BAR)))
        return None

    @property
    def stops(self) -> bool:
        """Whether the key of the bar stops: while the bar sounds, or anything over and over."""
        return self.loudspeaker.plays(THE_BAR) or self.loudspeaker.loops

    def _hear_answered(self) -> Next:
        self.loudspeaker.play(self.repeated(whole_bar(self._answered, self.setting, AS_SAID)))
        return None

    def _hear_both(self) -> Next:
        self.loudspeaker.play(bars_in_turn(self.bar, self._answered, self.setting))
        return None

    def _hear_on_the_kit(self) -> Next:
        self.loudspeaker.play(self.repeated(whole_bar(self.bar, self._kit_setting, "Round the kit")))
        return None

    def _hear_beat(self) -> Next:
        """The chosen beat alone; one that was taken for another as it was played, as it was said, as it was played."""
        beat = self.beat
        if self._mixed:
            self.loudspeaker.play(beats_in_turn(self.bar, self._answered, self.setting, beat))
        else:
            self.loudspeaker.play(self.repeated(one_beat(self.bar, self.setting, beat, AS_PLAYED)))
        return None


def _draw_row(canvas: Surface, look: Look, box: Rect, layouts: Sequence[Layout]) -> None:
    """Draw a few layouts side by side on one line."""
    cells = columns(box, [None] * len(layouts), look.u(10))
    space = min(fit(layouts, cells[0].w, box.h), look.u(9))
    above, _ = reach(layouts)
    for cell, layout in zip(cells, layouts, strict=True):
        draw_layout(canvas, look, layout, (cell.x, cell.y + round(above * space)), space)
