"""The window, the event loop and the stack of pages; no other module opens a window."""

import contextlib
import math
import os
import secrets
import sys
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Protocol

import pygame
from pygame import Rect, Surface

from game.clipboard import Clipboard
from game.data_folder import write_report
from game.records import RecordsError, Settings
from game.screens.base import Screen
from game.screens.context import Context, open_context
from game.screens.home.home import first_screens
from game.screens.notices.error import ErrorPage
from game.screens.notices.unkept import Unkept
from game.sessions.inputs import KEYS, PADS, Input
from game.widgets import lettering, notation
from game.widgets.icon import icon
from game.widgets.keycaps import key_name
from game.widgets.look import Look
from game.widgets.moves import Next, Page, Pop, Push, Quit, Replace
from game.widgets.text_field import COMMAND
from game.widgets.theme import LIGHT, THEMES
from shared.errors import UserError


class Options(Protocol):
    """The options of the command line that concern the window."""

    player: str | None
    level: str | None
    data_dir: str | None
    full_screen: bool


FRAMES = 60
"""How often a second the loop looks for events and, when something changed, draws."""

TAKE_WAIT, PADS_WAIT = 16, 1
"""Milliseconds that the loop waits for a key before it looks whether something is to be drawn, or at the pads.

Messages of pads are stamped only when they are fetched, on some systems.
"""

SMALLEST = (1024, 640)
"""The smallest window, in pixels, in which every screen is laid out to be read."""

LEAST = (640, 400)
"""Below this, in pixels, the page shrinks no further: a smaller window shows its upper left part."""

SMALLER_TYPE = 0.92
"""By which factor type gets smaller, again and again, where a page has no room for the size that a player wants."""

ICON_SIZE = 64
"""The side of the window's own picture, in pixels."""

KEY_REPEAT = (400, 40)
"""Milliseconds before a held key repeats, and between repeats, where a widget wants that."""

LAID_OUT_AFTER = (pygame.KEYDOWN, pygame.MOUSEBUTTONDOWN, pygame.TEXTINPUT, pygame.TEXTEDITING)
"""Events after which the page is laid out before the next one, which may come within the same frame."""

NO_DISPLAY = "no window can be opened: there is no display; `drumlin listen` needs none"


class NoDisplayError(UserError):
    """There is no display to open a window on.  The message says what would do."""


def open_display(size: tuple[int, int] | None = None, full_screen: bool = False) -> Surface:
    """Open the window; ``size`` in pixels, None for one that suits the desktop.  Raises ``NoDisplayError``."""
    asked = os.environ.get("SDL_VIDEODRIVER")
    # Before SDL is asked: it would take a driver that draws for nobody, or print what is meant for developers.
    if not asked and _displayless():
        raise NoDisplayError(NO_DISPLAY)
    # Switched off: with it a redraw goes over a texture, and may wait for the screen while keys wait too.
    os.environ.setdefault("SDL_FRAMEBUFFER_ACCELERATION", "0")
    os.environ.setdefault("SDL_WINDOWS_DPI_AWARENESS", "permonitorv2")
    # Else the choices of an input method, as for Japanese names, would not be seen.
    os.environ.setdefault("SDL_IME_SHOW_UI", "1")
    os.environ["SDL_VIDEO_X11_WMCLASS"] = os.environ["SDL_VIDEO_WAYLAND_WMCLASS"] = "drumlin"
    try:
        pygame.display.init()
    except pygame.error as error:
        raise NoDisplayError(f"no window can be opened ({error}); `drumlin listen` needs none") from error
    if pygame.display.get_driver() == "offscreen" and asked != "offscreen":
        pygame.display.quit()
        raise NoDisplayError(NO_DISPLAY)
    pygame.font.init()
    pygame.display.set_caption("Drumlin")
    # Some systems take a window's picture only before it opens.
    pygame.display.set_icon(icon(ICON_SIZE))
    canvas = _set_mode(size or _usual_size(), full_screen)
    # SDL begins with text input on, and then holds keys back for an input method: it is on only in a field of text.
    pygame.key.stop_text_input()
    return canvas


def _displayless() -> bool:
    """Whether this is a Linux session without a display server; SDL would draw for nobody, and complain first."""
    return sys.platform == "linux" and not (os.environ.get("DISPLAY") or os.environ.get("WAYLAND_DISPLAY"))


def close_display() -> None:
    """Close the window and let go of all that was drawn with its fonts."""
    lettering.forget()
    notation.forget()
    pygame.font.quit()
    pygame.display.quit()


def _usual_size() -> tuple[int, int]:
    desktop = pygame.display.get_desktop_sizes()[0]
    wide = max(SMALLEST[0], min(desktop[0] * 4 // 5, desktop[1] * 4 // 5 * 16 // 9))
    return wide, max(SMALLEST[1], wide * 9 // 16)


def _set_mode(size: tuple[int, int], full_screen: bool) -> Surface:
    if full_screen:
        return pygame.display.set_mode((0, 0), pygame.FULLSCREEN)
    return pygame.display.set_mode(size, pygame.RESIZABLE)


class App:
    """The loop over a stack of screens: the top one takes the events and is drawn when it changed."""

    def __init__(self, context: Context, stack: Sequence[Page], canvas: Surface, full_screen: bool = False) -> None:
        self.context = context
        self.canvas = canvas
        # The first is home, the last is on top; the pages between wait for the player to come back.
        self.stack = list(stack)
        self.look = self._new_look(1.0)
        self._full_screen = full_screen
        self._window_size = canvas.get_size()
        self.clipboard = Clipboard()
        self._writing: Rect | None = None
        self._down: dict[int, Page] = {}
        self._coming_up: Counter[int] = Counter()
        self.top.entered()

    @property
    def top(self) -> Page:
        """The screen that takes the events."""
        return self.stack[-1]

    def run(self) -> None:
        """Run until the last screen is left or the window is closed."""
        clock = pygame.time.Clock()
        while self.step(pygame.time.get_ticks() / 1000):
            if not self.top.taking:
                clock.tick(FRAMES)

    def step(self, now: float) -> bool:
        """One round of the loop; ``now`` in seconds.  False when the window is to be closed."""
        patience = PADS_WAIT if self.context.pads.ready else TAKE_WAIT
        first = [pygame.event.wait(patience)] if self.top.taking else []
        came = time.perf_counter()
        events = (*first, *pygame.event.get())
        self._coming_up = Counter(event.key for event in events if event.type == pygame.KEYUP)
        for place, event in enumerate(events):
            if place:
                self._arrange_after(events[place - 1])
            self.handle(event, came)
            if not self.stack:
                return False
        if self.top.hears_pads and self.context.pads.ready:
            self._guarded(self._hand_hits)
        self._guarded(lambda: self._draw(now))
        if self.stack and self.top.stale and isinstance(self.top, Unkept):
            # What failed while the page moved on is told in the same frame.
            self._guarded(lambda: self._draw(now))
        if self.stack:
            self._listen()
        return bool(self.stack)

    def handle(self, event: pygame.Event, came: float | None = None) -> None:
        """Give one event to the window itself or to the top screen.

        ``came`` is when it was read, by ``time.perf_counter``: events of the library have no time of their own.
        """
        if self._is_held_over(event) or self._is_stroke(event, came):
            return
        # Without a question: every answer is on the disk already, and a window that asks as it is closed is a nuisance.
        if event.type == pygame.QUIT:
            self.follow(Quit())
        elif event.type == pygame.VIDEORESIZE:
            self.canvas = pygame.display.get_surface() or self.canvas
            self.top.stale = True
        elif event.type in (pygame.WINDOWEXPOSED, pygame.WINDOWFOCUSGAINED):
            self.top.stale = True
        elif event.type == pygame.KEYDOWN and event.key == pygame.K_F11:
            self.toggle_full_screen()
        elif event.type in (pygame.AUDIODEVICEADDED, pygame.AUDIODEVICEREMOVED):
            self._guarded(lambda: self._follow_device(event))
        else:
            event = self._with_clipboard(event)
            self._guarded(lambda: self.follow(self.top.handle(event)))

    def _is_held_over(self, event: pygame.Event) -> bool:
        """Whether a key that is still down acted on an earlier page, or in a take already: then it does nothing here.

        The state of the keyboard is asked too, since a key may come up while another window has the focus.  That state
        runs ahead of the events: where a page was slow to open, a key may be up by it while its repeats still wait.
        """
        if event.type == pygame.KEYUP:
            self._down.pop(event.key, None)
            self._coming_up[event.key] -= 1
        if event.type != pygame.KEYDOWN:
            return False
        page = self._down.get(event.key)
        held = pygame.key.get_pressed()[event.key] or self._coming_up[event.key] > 0
        if page is not None and held and (page is not self.top or self.top.taking):
            return True
        self._down[event.key] = self.top
        return False

    def _is_stroke(self, event: pygame.Event, came: float | None) -> bool:
        """Hand a key to the top screen as a stroke, with its time on the clock of what sounds."""
        if event.type != pygame.KEYDOWN or not self.top.taking:
            return False
        now, where = time.perf_counter(), self.context.sound.position()
        if where is None:
            return False
        # The position is asked after the key came: what passed in between is taken off.
        late = 0.0 if came is None else now - came
        stroke = Input(KEYS, key_name(event), where - late)
        return self.top.strike(stroke)

    def _hand_hits(self) -> None:
        """Hand what was struck on pads to the top screen, with its time on the clock of what sounds."""
        where = self.context.sound.position()
        for hit in self.context.pads.hits(time.perf_counter()):
            if where is not None or not self.top.taking:
                self.top.strike(Input(PADS, str(hit.note), (where or 0.0) - hit.age, hit.velocity))

    def toggle_full_screen(self) -> None:
        """Change between the window and the full screen."""
        if not self._full_screen:
            self._window_size = self.canvas.get_size()
        self._full_screen = not self._full_screen
        self.canvas = _set_mode(self._window_size, self._full_screen)
        self.top.stale = True

    def paint(self) -> None:
        """Lay out the top screen anew and draw it whole."""
        self.lay_out()
        shown = self._shown()
        for screen in shown[:-1]:
            screen.lose_focus()
        for screen in shown:
            screen.paint(self.canvas, self.look)
        for screen in shown:
            screen.stale = False

    def lay_out(self) -> None:
        """Lay out what is seen, in type as large as the player wants it and the page has room for."""
        shown = self._shown()
        for wish in self._wishes():
            self.look = self._new_look(wish)
            for screen in shown:
                screen.lay_out(self.look)
            if wish <= 1 or all(screen.is_whole(self.look) for screen in shown):
                break

    def _wishes(self) -> Iterator[float]:
        """The factor of type that the player wants, and smaller ones down to the usual size."""
        # What was found too large stays so while the page is open: its type does not jump with each new word.
        room, size = self.top.type_room, self.canvas.get_size()
        wish = min(self._settings.type_size / 100, room.get(size, math.inf))
        while wish > 1:
            yield wish
            wish = room[size] = max(1.0, wish * SMALLER_TYPE)
        yield wish

    def _draw(self, now: float) -> None:
        self.follow(self.top.moves_on(now))
        shown = self._shown()
        moved = [part for screen in shown for part in screen.tick(now)]
        self._tell_news()
        if any(screen.stale for screen in shown):
            self.paint()
            pygame.display.flip()
        elif moved:
            self._paint_parts(moved)

    def _follow_device(self, event: pygame.Event) -> None:
        self.top.stale = self.context.sound.handle_event(event) or self.top.stale

    def _tell_news(self) -> None:
        """Tell once what has become of the sound device."""
        news = self.context.sound.news()
        if news:
            self._shown()[0].tell(news)
            self.top.stale = True

    def _paint_parts(self, parts: list[Rect]) -> None:
        for part in parts:
            self.canvas.set_clip(part)
            for screen in self._shown():
                screen.paint(self.canvas, self.look)
        self.canvas.set_clip(None)
        pygame.display.update(parts)

    def _shown(self) -> list[Page]:
        """The top screen, and those below that stay visible around it, lowest first."""
        first = len(self.stack) - 1
        while first and self.stack[first].over:
            first -= 1
        return self.stack[first:]

    @property
    def _settings(self) -> Settings:
        # A class has settings of its own, and so has the demonstration.
        context = self.top.context if self.stack and isinstance(self.top, Screen) else self.context
        return context.settings

    def _new_look(self, wish: float) -> Look:
        settings = self._settings
        theme = THEMES.get(settings.theme, LIGHT)
        wide, high = self.canvas.get_size()
        size = max(wide, LEAST[0]), max(high, LEAST[1])
        return Look(size, theme, wish, settings.reduced_motion)

    def _arrange_after(self, event: pygame.Event) -> None:
        """Lay out again between two events of one frame, so that the second meets what it was meant for."""
        # After the last event of a frame the page is laid out when it is painted, and need not be here.
        if self.top.stale and event.type in LAID_OUT_AFTER:
            self._guarded(lambda: self.top.lay_out(self.look))

    def _listen(self) -> None:
        """Let held keys repeat and keys write, as the page on top has it."""
        pygame.key.set_repeat(*(KEY_REPEAT if self.top.repeats else (0, 0)))
        self._open_for_text(self.top.writing_area)

    def _open_for_text(self, area: Rect | None) -> None:
        """Let keys write where text is written; an input method shows its choices beside that place."""
        if area == self._writing:
            return
        self._writing = area
        if area is None:
            pygame.key.stop_text_input()
        else:
            pygame.key.set_text_input_rect(area)
            pygame.key.start_text_input()

    def _with_clipboard(self, event: pygame.Event) -> pygame.Event:
        """Copy what is selected where a key asks for that; pasted text comes as if it was typed."""
        if event.type != pygame.KEYDOWN or not event.mod & COMMAND or not self.top.takes_text:
            return event
        if event.key in (pygame.K_c, pygame.K_x) and self.top.selected:
            self.clipboard.copy(self.top.selected)
        if event.key == pygame.K_v:
            return pygame.Event(pygame.TEXTINPUT, text=self.clipboard.text())
        return event

    def follow(self, following: Next) -> None:
        if following is None:
            return
        self.top.left()
        match following:
            case Push(screen):
                self.stack.append(screen)
            case Replace(screen, old):
                self.stack[self._place(old) :] = [screen]
            case Pop(page):
                del self.stack[self._place(page) :]
            case Quit():
                self.stack.clear()
        if self.stack:
            self.top.type_room.clear()
            self.top.entered()
            self.top.lay_out(self.look)
            self.top.stale = True

    def _place(self, page: Page | None) -> int:
        """The place of a page in the stack; of the top one for None."""
        return self.stack.index(page or self.top)

    def _guarded(self, act: Callable[[], None]) -> None:
        """Do something for a screen; ask how to go on, or show the error page, if it fails.

        What comes out of the error page itself goes through.
        """
        try:
            act()
        except Exception as error:
            if not self.stack or isinstance(self.top, ErrorPage):
                raise
            self._go_on_after(error)

    def _go_on_after(self, error: Exception) -> None:
        self.top.left()
        # The demonstration has records of its own, so the page that failed says whose they are.
        context = self.top.context if isinstance(self.top, Screen) else self.context
        if isinstance(error, RecordsError) and context.records.lasting:
            # Never one over another: what fails again is told in place of what was told before.
            if isinstance(self.top, Unkept) and len(self.stack) > 1:
                self.stack.pop()
            self.stack.append(Unkept(context, error))
        else:
            # Home stays; the pages above it may be in no state to go on.
            self.stack = [self.stack[0], ErrorPage(self.context, error, self._report())]
        self.top.entered()

    def _report(self) -> Path | None:
        """Where the report of the error at hand was written; None where it could not be."""
        with contextlib.suppress(OSError):
            return write_report(self.context.data_folder)
        return None


def open_window(options: Options) -> int:
    """Open the window and stay until it is closed; returns the exit code.

    Raises, with one line for the user, where there is no display or no such player or level.
    """
    context = open_context(time.time, lambda: secrets.randbits(32), options.player, options.level, options.data_dir)
    full_screen = options.full_screen or context.settings.full_screen
    try:
        canvas = open_display(full_screen=full_screen)
        App(context, first_screens(context), canvas, full_screen).run()
    finally:
        context.close()
        close_display()
    return 0
