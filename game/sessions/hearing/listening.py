"""Decides how a player hears a bar, from the question's setting, the player's settings and the way of listening.

None of it changes what is asked: the figures' own strokes stay where they are, and every hearing counts.
"""

from dataclasses import dataclass, replace

from game.records.settings import Settings
from shared.grooves import GROOVES
from shared.levels import Level
from shared.orchestration import Setting
from shared.swing import safe_swings

PACES = {1.0: "full tempo", 0.75: "three-quarter tempo", 0.5: "half tempo"}
"""The shares of the tempo on offer, in words; a bar is played slower, not stretched."""

FEELS = {"off": 0.0, "light": 0.5, "loose": 1.0}
"""How loosely the strokes fall, by the name of the setting: see ``Setting.feel``."""


@dataclass(frozen=True)
class Listening:
    """A way of listening, chosen for the moment: ``pace`` is a share of the tempo.

    ``exact`` leaves out the player's feel and swing: in a mock exam, so that marks can be compared, and where two
    figures are set side by side, so that nothing else differs between them.
    """

    pace: float = 1.0
    count_in: bool = True
    click: bool = False
    hats_down: bool = False
    loop: bool = False
    exact: bool = False

    @property
    def slower(self) -> "Listening":
        """At the next slower tempo; after the slowest, at the full one again."""
        paces = list(PACES)
        return replace(self, pace=paces[(paces.index(self.pace) + 1) % len(paces)])

    def told(self) -> str:
        """The choices beside the tempo, in a few words; empty where all is as usual."""
        words = {
            "no count-in": not self.count_in,
            "click": self.click,
            "hats down": self.hats_down,
            "loop": self.loop,
        }
        return ", ".join(word for word, chosen in words.items() if chosen).capitalize()


USUAL = Listening()
EXACT = Listening(exact=True)


def as_heard(asked: Setting, level: Level, settings: Settings, listening: Listening = USUAL) -> Setting:
    """The setting in which this player hears a bar for which a question of the level asks for ``asked``.

    It takes the player's leading hand, feel and swing: the swing only where it turns no figure of the level into
    another, and the feel no less than was asked.  Where all need not be exact, it also takes the player's grooves
    and a crash after a fill.
    """
    # A swung quaver may land where a triplet figure has its stroke: then two figures would sound the same.
    swung = not listening.exact and settings.swing in safe_swings(level.figures)
    heard = replace(
        asked,
        lead=settings.hand,
        feel=asked.feel if listening.exact else max(asked.feel, FEELS[settings.feel]),
        swing=settings.swing if swung else asked.swing,
        groove=asked.groove if listening.exact else _groove(asked, settings),
        landing=asked.landing or not listening.exact,
        count_in=asked.count_in and listening.count_in,
        click=asked.click or listening.click,
        hats_down=asked.hats_down or listening.hats_down,
    )
    return heard if listening.pace == 1.0 else heard.slower(listening.pace)


def _groove(asked: Setting, settings: Settings) -> str:
    """The groove before a bar: one and the same at each hearing of it."""
    # By the question's own seed: a groove drawn anew at each hearing would draw attention from the figures.
    return list(GROOVES)[asked.seed % len(GROOVES)] if settings.groove == "varied" else asked.groove
