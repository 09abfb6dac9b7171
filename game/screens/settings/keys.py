"""The keys of a player: each act with its key, changed by pressing another one."""

from collections.abc import Sequence

import pygame
from pygame import Rect

from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.sessions.settings.bindings import ACTS, FIXED, TILES, TakenKeyError, act_words
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.keycaps import key_name, title
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.travel import ARROWS

HOW = "Choose what to change, then press its new key. These keys hold where you hear bars and answer."


class KeyChoice(Screen):
    """Every key that can be changed."""

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._waiting = ""
        self._told = ""
        self.focus = "hear"

    def heading(self) -> Heading:
        return Heading("Keys", right=self.context.player.name)

    def keys(self) -> Sequence[Key]:
        if self._waiting:
            return (Key("escape", "leave the key as it was", self._give_up),)
        return (Key("return", "change", self._change_focused), Key("escape", "back", Pop))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        line, wide = look.line("lead"), look.u(TARGET)
        gap = look.u(12)
        # Lines of four and of eight, rounded up: floor division of the negative does that.
        acts_down, tiles_down = -(-len(ACTS) // 4), -(-len(TILES) // 8)
        told, acts_head, acts, tiles_head, tiles, usual, _ = rows(
            box,
            [line, line, acts_down * (wide + gap) - gap, line, tiles_down * (wide + gap) - gap, wide, None],
            look.u(7),
        )
        words = self._told or (f"{act_words(self._waiting)}: press its new key." if self._waiting else HOW)
        colour = "warn" if self._told else "ink"
        return [
            Label("told", told, words, bold=bool(self._told or self._waiting), colour=colour, middle=True),
            Label("acts", acts_head, "Hearing and answering", "lead", bold=True, middle=True),
            *self._buttons(tuple(ACTS), grid(acts, len(ACTS), 4, gap, tallest=wide)),
            Label("tiles", tiles_head, "Tiles, in their order on the page", "lead", bold=True, middle=True),
            *self._buttons(TILES, grid(tiles, len(TILES), 8, gap, tallest=wide)),
            Button("usual", Rect(usual.x, usual.y, look.u(340), usual.h), "The usual keys again", self._reset),
        ]

    def _buttons(self, acts: Sequence[str], cells: Sequence[Rect]) -> list[Widget]:
        bindings = self.context.bindings
        return [
            Button(act, cell, act_words(act), self._changes(act), self._waiting == act, cap=title(bindings.key(act)))
            for act, cell in zip(acts, cells, strict=True)
        ]

    def _changes(self, act: str) -> Act:
        return lambda: self._wait_for(act)

    def _change_focused(self) -> Next:
        focused = self.focused()
        return focused.press() if focused else None

    def _wait_for(self, act: str) -> Next:
        self._waiting, self._told = act, ""
        return None

    def _give_up(self) -> Next:
        self._waiting, self._told = "", ""
        return None

    def _reset(self) -> Next:
        self.context.change_settings(keys={})
        self._told = ""
        return None

    def _key(self, event: pygame.Event) -> Next:
        name = key_name(event)
        # Fixed keys keep their meaning even while a key is waited for: Esc must always lead out.
        if not self._waiting or name in FIXED:
            # Whoever goes on by arrows or Tab has changed their mind.
            self._waiting = "" if name in ARROWS or name == "tab" else self._waiting
            return super()._key(event)
        try:
            self.context.change_settings(keys=self.context.bindings.changed(self._waiting, name))
        except TakenKeyError as error:
            self._told = str(error)
        else:
            self._waiting, self._told = "", ""
        return None
