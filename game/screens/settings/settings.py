"""The settings: how music is named, how the page looks, how it sounds."""

from collections.abc import Sequence
from itertools import chain
from typing import Any

from pygame import Rect

from game.learning.introduction import AT_ONCE, BEGINNINGS, SOUND_OUT, STEP_BY_STEP
from game.screens.base import Heading, Key
from game.screens.context import Context
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.settings.keys import KeyChoice
from game.screens.settings.tap_delay import TapDelay
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice, Slider
from game.widgets.editing import Edited
from game.widgets.lettering import lacking_words
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push
from game.widgets.text_field import TextField
from shared.counting import SPOKEN, CountError, parse_bar, words_shown
from shared.names import TERMS
from shared.orchestration import Setting, arrange
from shared.swing import safe_swings

Options = tuple[tuple[Any, str], ...]

Choices = tuple[tuple[str, str, Options], ...]

MUSIC: Choices = (
    ("hand", "Leading hand", (("R", "Right"), ("L", "Left"))),
    ("sticking", "Sticking", (("natural", "Natural"), ("alternating", "Alternating"))),
    ("terms", "Note names", tuple((name, terms.short) for name, terms in TERMS.items())),
    (
        "count_system",
        "Counting",
        (("number", "1 e & a"), ("takadimi", "Takadimi"), ("kodaly", "Kodály"), ("french", "French")),
    ),
    ("show_words", "Memory words", ((True, "Shown"), (False, "Hidden"))),
    ("kit", "Drum kit", (("practice", "Practice"), ("stage", "Stage"), ("click", "Clicks"))),
    ("room", "Room", (("own", "The kit's"), ("dry", "Dry"), ("room", "Room"), ("hall", "Hall"))),
    ("groove", "Grooves", (("straight", "Straight"), ("varied", "All styles"))),
    ("feel", "Feel", (("off", "Exact"), ("light", "Light"), ("loose", "Loose"))),
    ("swing", "Swing", ((50, "Straight"), (57, "Light"), (62, "Medium"), (67, "Triplet"))),
)
"""The settings of the music: name, words, and the values with theirs."""

PAGE: Choices = (
    ("theme", "Colours", (("light", "Light"), ("dark", "Dark"), ("projector", "Projector"))),
    ("type_size", "Type", ((100, "Usual"), (115, "Large"), (130, "Larger"), (200, "Huge"))),
    ("second_try", "Wrong beats", ((False, "Shown at once"), (True, "A second try"))),
    ("sound_mistakes", "A mistake", ((True, "Sounds by itself"), (False, "When asked"))),
    ("reduced_motion", "Movement", ((False, "Moving mark"), (True, "Still"))),
    ("full_screen", "Opens as", ((False, "Window"), (True, "Full screen"))),
)
"""The settings of practice and of the page."""

BEGIN_WORDS = ((STEP_BY_STEP, "Step by step"), (SOUND_OUT, "Sounded out"), (AT_ONCE, "All at once"))
"""How new figures come on a level."""

TRIAL = parse_bar("1 & 2 & 3 e & a 4")
"""The bar to set things by ear with."""

NOT_OF_A_CLASS = ("sticking", "terms", "count_system", "show_words", "second_try", "sound_mistakes", "full_screen")
"""Settings of whoever practises and opens the window: a lesson does the same with any of their values."""

COUNT_WORDS_BEFORE = ("show_words", "kit")
"""The words of the count, no plain choice, come before the first of these that is on the page."""

NUMBERS = ("type_size", "swing")
"""Settings that may hold other numbers than those on offer; the nearest is shown."""


class SettingsScreen(HearingScreen):
    """Every setting with its values in sight; a change holds at once and is kept."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._counting = Edited.at_end(context.settings.counting)
        self._refused = ""

    def heading(self) -> Heading:
        return Heading("Settings", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        return (
            Key("h", "stop" if self.sounds(TRIAL) else "hear a bar", self._hear),
            Key("t", "tap to the click", self._measure),
            *(() if self._of_class else (Key("k", "choose keys", self._choose_keys),)),
            Key("escape", "back", Pop),
        )

    @property
    def _of_class(self) -> bool:
        return self.context.player.kind == "class"

    def _of_use(self, choices: Choices) -> Choices:
        """Those that change something for the player, or for the class, whose settings these are."""
        return tuple(one for one in choices if not (self._of_class and one[0] in NOT_OF_A_CLASS))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        first, second = columns(box, [None, None], look.u(44))
        return [*self._music(look, first), *self._page(look, second)]

    def _music(self, look: Look, box: Rect) -> list[Widget]:
        choices = self._of_use(MUSIC)
        title, *lines = _lines(look, box, len(choices) + 1)
        names = [name for name, _, _ in choices]
        place = names.index(next(name for name in COUNT_WORDS_BEFORE if name in names))
        # In the order in which they stand, which is the order of Tab.
        others = zip(lines[:place] + lines[place + 1 :], choices, strict=True)
        made = [self._choice(look, line, name, words, self._offered(name, options))
                for line, (name, words, options) in others]  # fmt: skip
        made.insert(place, self._count_words(look, lines[place]))
        return [Label("music", title, "Music", "lead", bold=True, middle=True), *chain.from_iterable(made)]

    def _count_words(self, look: Look, line: Rect) -> list[Widget]:
        """The words that are shown for those of the count: this player's or class's, in place of the level's."""
        label, control = _split(look, line)
        warned = self._refused or ("Not in this type: boxes" if lacking_words(self._counting.text) else "")
        colour = "warn" if warned else "ink"
        return [
            Label("words counting", label, warned or "Count words", colour=colour, middle=True),
            TextField("counting", control, look, self._counting, self._write_counting, lambda: None,
                      " ".join(SPOKEN), 80, bool(self._refused)),
        ]  # fmt: skip

    def _write_counting(self, text: Edited) -> None:
        self._counting, self._refused = text, ""
        words = " ".join(text.text.split())
        try:
            words_shown(words)
        except CountError:
            self._refused = "No digits or brackets; 8 words"
            return
        # A caret that only moved comes here too.
        if words != self.context.settings.counting:
            self.context.choose_counting(words)

    def _offered(self, name: str, options: Options) -> Options:
        """The values on offer: of the swings those that turn no figure of the level into another."""
        if name != "swing":
            return options
        safe = safe_swings(self.context.level.figures)
        return tuple(option for option in options if option[0] in safe)

    def _page(self, look: Look, box: Rect) -> list[Widget]:
        choices = self._of_use(PAGE)
        # The lines that are left over hold what is no plain choice.
        title, *lines = _lines(look, box, len(choices) + (3 if self._of_class else 4))
        widgets: list[Widget] = [Label("page", title, "Page and sound", "lead", bold=True, middle=True)]
        for line, (name, words, options) in zip(lines, choices, strict=False):
            widgets += self._choice(look, line, name, words, options)
        *begins, volume, delay, more = lines[len(choices) :]
        hear, measure, keys = columns(more, [None, None, None], look.u(16))
        for line in begins:
            widgets += self._beginning(look, line)
        return [
            *widgets,
            *self._sliders(look, volume, delay),
            self.hear_button("hear", hear, "Hear a bar", TRIAL, self._hear, key="h"),
            Button("measure", measure, "Tap along", self._measure, key="t"),
            *([] if self._of_class else [Button("keys", keys, "Choose keys", self._choose_keys, key="k")]),
        ]

    def _beginning(self, look: Look, line: Rect) -> list[Widget]:
        """How the level at hand goes on: the one setting that each level has of its own."""
        label, control = _split(look, line)
        begin = self.context.settings.beginnings.get(self.context.level.name)
        # Kept in a table of texts, which may hold what an earlier or later Drumlin called it.
        value = begin if begin in BEGINNINGS else STEP_BY_STEP
        return [
            Label("words begin", label, "New figures", middle=True),
            Choice("begin", control, BEGIN_WORDS, value, self.context.choose_beginning),
        ]

    def _sliders(self, look: Look, volume: Rect, delay: Rect) -> list[Widget]:
        late, change = self.context.settings.calibration, self.context.change_settings
        (loud_words, loud), (late_words, control) = _split(look, volume), _split(look, delay)
        return [
            Label("words volume", loud_words, "Volume", middle=True),
            volume_slider(self.context, loud),
            Label("words delay", late_words, "Sound is late by", middle=True),
            Slider("delay", control, late, -100, 400, 10, lambda value: change(calibration=value), delay_words),
        ]

    def _choice(self, look: Look, line: Rect, name: str, words: str, options: Options) -> list[Widget]:
        label, control = _split(look, line)
        change = self.context.change_settings
        # A switch with a single value could not be moved, and would say nothing of why.
        if len(options) == 1:
            told = f"{options[0][1]}: swing would blur the figures of this level"
            return [Label(f"words {name}", label, words, middle=True), Label(name, control, told, middle=True)]
        return [
            Label(f"words {name}", label, words, middle=True),
            Choice(name, control, options, self._value(name, options), lambda value: change(**{name: value})),
        ]

    def _value(self, name: str, options: Options) -> object:
        value = getattr(self.context.settings, name)
        # A kept value, such as 110 per cent, may lie between two of those on offer.
        if name in NUMBERS:
            return min((option for option, _ in options), key=lambda option: abs(option - value))
        return value

    def _hear(self) -> Next:
        # All drums, a groove and off-beats: a bar in which kit, room, groove, feel and swing are all to be heard.
        setting = Setting("down-the-kit", tempo=90, groove_bars=1, count_in=False)
        return self.hear(TRIAL, arrange(TRIAL, self.context.heard(setting)))

    def _measure(self) -> Next:
        return Push(TapDelay(self.context))

    def _choose_keys(self) -> Next:
        return Push(KeyChoice(self.context))


def volume_slider(context: Context, box: Rect) -> Slider:
    """The volume of this player, in decibels under full."""
    now = context.settings.volume
    # Decibels, as the ear takes them: in equal steps of pressure all would happen at the low end.
    return Slider("volume", box, now, -48, 0, 3, lambda value: context.change_settings(volume=value), volume_words)


def volume_words(volume: float) -> str:
    """A volume in decibels below full, in words."""
    return "full" if volume >= 0 else f"−{-volume:.0f} dB"


def delay_words(delay: float) -> str:
    """A delay in milliseconds, with a true minus."""
    return f"{delay:.0f} ms".replace("-", "−")


def _lines(look: Look, box: Rect, count: int) -> list[Rect]:
    """The heading and so many lines under it, of the usual height where there is room for it."""
    gap = look.u(5)
    high = min(look.u(TARGET), (box.h - look.line("lead")) // count - gap)
    return rows(box, [look.line("lead"), *[high] * count], gap)


def _split(look: Look, line: Rect) -> tuple[Rect, Rect]:
    words, control = columns(line, [line.w * 0.25, None], look.u(12))
    return words, control
