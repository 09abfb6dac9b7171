"""Meeting a new figure: heard alone as often as wanted, then beside one that is known, before it is asked."""

from collections.abc import Callable, Sequence

from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.hearing.listening_screen import pace_words
from game.screens.practice.bar_screen import BarScreen, level_title
from game.sessions.hearing.hearing import Hearing, in_turn, repeated
from game.sessions.hearing.listening import Listening
from game.sessions.practice.meeting import Meeting, meetings
from game.sessions.practice.round import PracticeRound
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.comparison import Hands, Lit
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.met import Met
from game.widgets.moves import Next, Replace
from shared.bars import Bar
from shared.figures import Figure
from shared.levels import spelling_in
from shared.names import note_names
from shared.orchestration import Setting
from shared.sticking import STICKINGS
from shared.syllables import SYSTEMS

LARGEST_SPACE = 26
"""The largest staff space of a figure that is met, in units."""


class MeetingPage(BarScreen):
    """The figures that a bar meets first, one page after the other.  ``following`` makes the page that asks."""

    def __init__(self, context: Context, practice: PracticeRound, following: Callable[[], Screen]) -> None:
        super().__init__(context, practice)
        self._following = following
        self._meetings = meetings(practice.question)
        self._place = 0
        self._known: list[bool] = []
        self._pace = Listening()
        self._lit: Lit = None
        # The first sound of a round waits for a key: the player sets the volume and the sticks down first.
        self._waits = practice.number == 1
        self._begun = False
        self.focus = "hear" if self._waits else "ask"

    @property
    def meeting(self) -> Meeting:
        """The figure that is met now."""
        return self._meetings[self._place]

    @property
    def _shown(self) -> tuple[Figure, ...]:
        """The figures on the page: the new one, and the known one that it is most like."""
        return (self.meeting.figure,) if self.meeting.first else (self.meeting.figure, self.meeting.rival)

    @property
    def _last(self) -> bool:
        return self._place == len(self._meetings) - 1

    def heading(self) -> Heading:
        place = f", {self._place + 1} of {len(self._meetings)}" if len(self._meetings) > 1 else ""
        left = f"{level_title(self.context.level.name)}{self.context.level.title}"
        pace = pace_words(self._pace, self._tempo)
        title = "Once more, side by side" if self.meeting.again else f"A new figure{place}"
        return Heading(
            title,
            pace or left,
            f"Bar {self.round.number} of {self.round.bars}",
            stress=bool(pace),
        )

    def keys(self) -> Sequence[Key]:
        key = self.context.bindings.key
        beside = (Key(key("both"), "both in turn", self._hear_both),) if len(self._shown) == 2 else ()
        return (
            Key(key("hear"), self.hear_words().lower(), self.hear),
            Key(key("slower"), "slower", self._hear_slower_alone),
            *beside,
            *(() if self.meeting.again else (Key(key("known"), "I know it", self._heard_before),)),
            Key("return", (self.hear_words() if self._enter_hears else self._on_words).lower(), self._enter),
            Key("escape", "leave", self.leave_round),
        )

    def hear_words(self) -> str:
        return "Stop" if self.sounds else "Hear it"

    @property
    def _enter_hears(self) -> bool:
        """Whether Enter plays the figure: the first of all is to be heard before anything else."""
        return self.focus == "hear"

    @property
    def _on_words(self) -> str:
        return "Ask me" if self._last else "The next one"

    def tick(self, now: float) -> list[Rect]:
        # Once the page is painted: the eye should be there before the ear.
        if not self._begun and not self._waits and not self.stale:
            self.hear()
        areas = super().tick(now)
        lit, self._lit = self._lit, self.lit(self._shown)
        return areas if lit == self._lit else [*areas, *(one.rect for one in self.widgets if one.name == "met")]

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        told = self._sentence
        words = box.w * 0.3
        high = look.height(told, box.w, "lead", True)
        what, page, sentence, buttons = rows(
            box, [look.height(self._what, box.w, "lead"), None, high, look.u(TARGET + 14)], look.u(16)
        )
        figures, facts = columns(page, [None, words], look.u(40))
        settings, level = self.context.settings, self.context.level
        written = [(figure, spelling_in(level, figure)) for figure in self._shown]
        names = (
            (["The one", "The other"] if self.meeting.again else ["New", "Known"])[: len(written)]
            if len(written) > 1
            else [""]
        )
        return [
            Label("what", what, self._what, "lead", middle=True),
            Met(
                "met", figures, written, names, lambda: self._lit, look.u(LARGEST_SPACE),
                hands=[self._hands(figure, settings.sticking) for figure in self._shown],
            ),
            Label("facts", facts, self._facts(), "lead", middle=True),
            Label("sentence", sentence, told, "lead", bold=True, middle=True),
            *self._buttons(look, buttons),
        ]  # fmt: skip

    @property
    def _what(self) -> str:
        if self.meeting.again:
            return "These two are hard to tell apart. Hear them both, as often as you like; nothing is asked here."
        if len(self._shown) == 1:
            return "This is one beat. It sounds on every beat of the bar, over a click: count along."
        if self.meeting.figure.is_rest:
            return "It is silent: only the click sounds. Count along. Then hear it beside the one you know."
        return "It sounds alone, over a click: count along. Then hear it beside the one you know."

    @property
    def _sentence(self) -> str:
        """The sentence that tells the two apart; of the very first figure, that one like it comes next."""
        return self.meeting.sentence(self.context.level) if len(self._shown) == 2 else "Next comes one that is like it."

    def _facts(self) -> str:
        """How the new figure is counted, played and called, a line each."""
        figure, settings, level = self.meeting.figure, self.context.settings, self.context.level
        hands = self._hands(figure, settings.sticking)
        lines = [f"Counted: {level.as_shown(figure.count)}"]
        if settings.count_system != "number" and SYSTEMS[settings.count_system](figure):
            lines.append(f"Said: {SYSTEMS[settings.count_system](figure)}")
        if hands:
            lines.append(f"Hands: {' '.join(hands)}")
        lines.append(f"Written: {note_names(spelling_in(level, figure), settings.terms)}")
        word = settings.words.get(figure.count) or level.words.get(figure, "")
        if word and settings.show_words:
            lines.append(f"To remember: {word}")
        return "\n".join(lines)

    def _hands(self, figure: Figure, sticking: str) -> Hands:
        bar = Bar(self.meeting.meter, (figure,) * self.meeting.meter.beats)
        # The first beat of a bar full of it: with hands that alternate, a later one may begin with the other hand.
        return tuple(STICKINGS[sticking](bar, self.context.settings.hand)[0])

    def _buttons(self, look: Look, box: Rect) -> list[Widget]:
        key = self.context.bindings.key
        hear, slower, both, known, ask = columns(box, [None, None, None, None, box.w * 0.3], look.u(16))
        found: list[Widget] = [
            Button("hear", hear, self.hear_words(), self.hear, self._waits, key=key("hear")),
            Button("slower", slower, "Slower", self._hear_slower_alone, key=key("slower")),
        ]
        if len(self._shown) == 2:
            found.append(Button("both", both, "Both in turn", self._hear_both, key=key("both")))
        return [
            *found,
            *(
                ()
                if self.meeting.again
                else (Button("known", known, "I know it", self._heard_before, key=key("known")),)
            ),
            Button("ask", ask, self._on_words, self._ask, not self._waits, key="" if self._enter_hears else "return"),
        ]

    # Sound

    @property
    def _tempo(self) -> float:
        return self.context.level.tempo.low

    @property
    def _plain(self) -> Setting:
        return self.context.heard(Setting(tempo=self._tempo), self._pace)

    def hear(self) -> Next:
        """The new figure alone, over and over; stops it while anything sounds."""
        if self.sounds:
            self.loudspeaker.stop()
            return None
        return self._play(repeated(self.meeting.alone(self._plain)))

    def _hear_slower_alone(self) -> Next:
        self._pace = self._pace.slower
        return self._play(repeated(self.meeting.alone(self._plain)))

    def _hear_both(self) -> Next:
        """The new one, the known one, and the new one again."""
        # The new one last, for that is the one to be kept in mind.
        return self._play(in_turn(self.meeting.beside(self._plain), self.meeting.alone(self._plain)))

    def _play(self, what: Hearing) -> Next:
        if self._waits:
            self._waits = False
            self.set_focus("ask")
        self._begun = True
        self.loudspeaker.play(what)
        self.stale = True
        return None

    # Going on

    def _enter(self) -> Next:
        focused = self.focused()
        return focused.press() if focused else self._ask()

    def _ask(self) -> Next:
        return self._go_on(known=False)

    def _heard_before(self) -> Next:
        return self._go_on(known=True)

    def _go_on(self, known: bool) -> Next:
        self.loudspeaker.stop()
        self._known.append(known)
        if not self._last:
            self._place += 1
            self._begun, self._pace = False, Listening()
            self.set_focus("ask")
            self.stale = True
            return None
        # Only where all of them were known: else the question would ask a figure that was never shown.
        if all(self._known):
            self.round.heard_before()
        return Replace(self._following())
