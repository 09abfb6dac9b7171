"""Before call and answer: by which rule calls are answered, how many there are, how fast, and by what."""

from collections.abc import Sequence
from functools import partial

from pygame import Rect, Surface

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.playing.call_view import TITLE, along_words
from game.screens.playing.calls_picked import CallsPicked
from game.screens.playing.calls_played import CallsPlayed
from game.screens.playing.devices import PLAYED_ON, open_devices
from game.screens.playing.ears import READERS
from game.screens.practice.question import open_practice
from game.sessions.fills.known import met_figures
from game.sessions.inputs import KEYS
from game.sessions.playing.calls import NUMBERS, CallPlan, calling_ways, drawn_calls
from game.sessions.playing.playing import SLOWEST, Playing
from game.sessions.playing.replies import ReplyRule
from game.widgets.base import Label, Picture, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice, Slider
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from game.widgets.notation import COUNTED, figure_line
from game.wording import number_word
from shared.figures import Figure
from shared.orchestration import Setting

STEP = 6
"""One step of the tempo, in beats a minute."""

ABOUT = {
    ReplyRule.SAME: "Answer with the call itself, by ear.",
    ReplyRule.OTHER: "Answer with another bar of the figures below.",
    ReplyRule.CHANGED: "Answer with the call, one of its beats changed to another figure below.",
}

LEAD = (
    "A groove goes on without a stop. You hear a call of one bar and answer it, and the groove leads to the next. "
    "Calls go round the kit. Answer on any drum: only the figures count."
)

BY = ((True, "By playing"), (False, "By picking"))

PICKED = "The groove goes round until you have picked your answer: there is no hurry."

THESE = "The figures: those that you hold, and one in work"

TOO_FEW = (
    "Calls are made of figures that you have met, and of this level you have met fewer than two so far. "
    "Practice shows them to you."
)


def open_calls(context: Context) -> "CallStart":
    """The choice, with the figures that this player has met."""
    figures = met_figures(context.level, context.standing(context.level), context.now())
    return CallStart(context, figures)


class CallStart(Screen):
    """Chooses how calls are answered, and begins; without figures to make calls of it leads to practice."""

    def __init__(self, context: Context, figures: Sequence[Figure]) -> None:
        super().__init__(context)
        self._figures = tuple(figures)
        self._rule, self._number, self._by_playing = ReplyRule.SAME, NUMBERS[0], True
        self._tempo = float(round(context.level.tempo.low))
        self.focus = "begin" if figures else "practise"

    def heading(self) -> Heading:
        return Heading(TITLE, self.context.level.title, self.context.player.name)

    def keys(self) -> Sequence[Key]:
        if not self._figures:
            return (Key("escape", "back", Pop),)
        return (
            *(
                # One entry at the foot tells of all three keys.
                Key(str(place), "the rule", partial(self._choose, rule), shown=place == 1, cap="1 to 3")
                for place, rule in enumerate(ReplyRule, 1)
            ),
            Key("space", "begin", self._begin),
            Key("-", "slower", partial(self._step, -STEP)),
            Key("=", "faster", partial(self._step, STEP)),
            *((Key("d", "what you play on", self._devices),) if self._by_playing else ()),
            Key("escape", "back", Pop),
        )

    def body(self, look: Look, box: Rect) -> list[Widget]:
        return self._choosing(look, box) if self._figures else self._too_few(look, box)

    def _too_few(self, look: Look, box: Rect) -> list[Widget]:
        words, button, _ = rows(box, [look.height(TOO_FEW, box.w, "lead"), look.u(TARGET + 10), None], look.u(24))
        practise = columns(button, [look.u(380), None])[0]
        return [
            Label("words", words, TOO_FEW, "lead"),
            Button("practise", practise, "Practice", self._practise, main=True, key="p"),
        ]

    def _choosing(self, look: Look, box: Rect) -> list[Widget]:
        about, on = ABOUT[self._rule], along_words(self.context.instrument) if self._by_playing else PICKED
        lead, rule, says, how, tempo, these, figures, hands, buttons = rows(
            box,
            [look.height(LEAD, box.w), look.u(TARGET), look.height(about, box.w, "lead", True), look.u(TARGET),
             look.u(TARGET), look.line(), None, look.height(on, box.w), look.u(TARGET + 6)],
            look.u(10),
        )  # fmt: skip
        number, by = columns(how, [None, None], look.u(20))
        begin, devices = columns(buttons, [None, None], look.u(20))
        played_on = PLAYED_ON[self.context.settings.play_on]
        numbers = [(many, f"{number_word(many).capitalize()} calls") for many in NUMBERS]
        rules = [(one, one.value) for one in ReplyRule]
        return [
            Label("lead", lead, LEAD, middle=True),
            Choice("rule", rule, rules, self._rule, self._choose),
            Label("about", says, about, "lead", bold=True, middle=True),
            Choice("number", number, numbers, self._number, self._choose_number),
            Choice("by", by, BY, self._by_playing, self._choose_by),
            Slider("tempo", tempo, self._tempo, self._slowest, self._fastest, STEP, self._choose_tempo, _tempo_words),
            Label("these", these, THESE, colour="quiet", middle=True),
            Picture("figures", figures, self._draw_figures, least=COUNTED),
            Label("on", hands, on, middle=True),
            Button("begin", begin, "Begin", self._begin, main=True, key="space"),
            *((Button("devices", devices, played_on, self._devices, key="d"),) if self._by_playing else ()),
        ]

    def _draw_figures(self, canvas: Surface, look: Look, box: Rect) -> None:
        figure_line(canvas, look, box, self.context.level, self._figures)

    @property
    def _slowest(self) -> float:
        # One step below the fastest at least, so that the slider has something to choose.
        return min(SLOWEST, self._fastest - STEP)

    @property
    def _fastest(self) -> float:
        return float(round(self.context.level.tempo.high))

    def _choose(self, rule: ReplyRule) -> None:
        self._rule = rule

    def _choose_number(self, number: int) -> None:
        self._number = number

    def _choose_by(self, by_playing: bool) -> None:
        self._by_playing = by_playing

    def _choose_tempo(self, tempo: float) -> None:
        self._tempo = tempo

    def _step(self, by: int) -> Next:
        self._tempo = min(self._fastest, max(self._slowest, self._tempo + by))
        return None

    def _devices(self) -> Next:
        return Push(open_devices(self.context))

    def _practise(self) -> Next:
        return Replace(open_practice(self.context))

    def _begin(self) -> Next:
        return Push(self._room())

    def _room(self) -> Screen:
        """The page on which calls sound, drawn anew each time."""
        context, figures, seed = self.context, self._figures, self.context.seed()
        heard = context.heard(Setting(tempo=self._tempo, seed=seed))
        calls = drawn_calls(context.level.meter, figures, self._number, heard, calling_ways(context.level))
        plan = CallPlan(self._rule, figures, calls, heard)
        playing = Playing(context.level, figures, READERS[KEYS], seed, heard.lead)
        return (CallsPlayed if self._by_playing else CallsPicked)(context, plan, playing, self._room)


def _tempo_words(tempo: float) -> str:
    return f"{tempo:.0f} beats a minute"
