"""The base of every screen: its page, its keys, its focus, and how events reach its widgets."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

import pygame
from pygame import Rect, Surface

from game.screens.context import Context
from game.sessions.inputs import Input
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.hints import Hint, hint_height, hint_row
from game.widgets.keycaps import key_name, title
from game.widgets.look import Look
from game.widgets.moves import Next
from game.widgets.travel import ARROWS, along, towards

MARGIN = 56
"""The white space at the left and right of the page, in units."""

# On a window that is wider still, lines would grow too long to be read, and what belongs together would lie far apart.
WIDEST = 1440
"""The page is never wider than this, in units, however wide the window."""

MOST_ACROSS = 8
"""How many times as wide as high a window can be, on several screens side by side, and still be seen whole."""


ERASING = ("delete", "backspace")
"""Keys that take away where text is written."""


@dataclass(frozen=True)
class Key:
    """A key of a screen: its name, what it does in a word or two, and the act.

    ``shown`` keys stand at the foot of the page, where they can be clicked too; ``cap`` is what stands
    on the key, where one line tells of two keys.
    """

    name: str
    says: str
    act: Callable[[], Next]
    shown: bool = True
    cap: str = ""

    @property
    def writes(self) -> bool:
        """Whether the key, as it is shown, writes or erases something where text is written."""
        # With Ctrl, as it is shown, the key writes nothing, though its letter alone would.
        return (_is_letter(self.name) or self.name in ERASING) and not self.cap.startswith("Ctrl")


@dataclass(frozen=True)
class Heading:
    """The head of the page, as on printed music: a title, a remark at the left and at the right.

    With ``stress`` the left one is what must not be missed.
    """

    title: str
    left: str = ""
    right: str = ""
    stress: bool = False


class Screen:
    """A page.  Subclasses say ``heading``, ``keys`` and ``body``; see the package's own page."""

    over = False
    """Whether the screen below stays visible around this one."""

    def __init__(self, context: Context) -> None:
        self.context = context
        self.focus = ""
        self.widgets: list[Widget] = []
        self.stale = True
        self.news = ""
        # The largest type that had room, as a factor, by the window's size in pixels: see ``App.lay_out``.
        self.type_room: dict[tuple[int, int], float] = {}
        self._warns = False
        self._held = ""

    @property
    def taking(self) -> bool:
        """Whether strokes are taken down now: the window then waits for each, and draws only what it must."""
        return False

    @property
    def hears_pads(self) -> bool:
        """Whether strokes on pads are wanted now."""
        return self.taking

    def strike(self, stroke: Input) -> bool:  # noqa: ARG002 - for those that take strokes
        """Take a stroke; False leaves its key to what keys do otherwise."""
        return False

    @property
    def repeats(self) -> bool:
        """Whether a key that is held down acts again and again on what has the focus."""
        focused = self.focused()
        return focused is not None and focused.repeats

    @property
    def takes_text(self) -> bool:
        """Whether keys write text into what has the focus."""
        focused = self.focused()
        return focused is not None and focused.takes_text

    @property
    def writing_area(self) -> Rect | None:
        """Where text is written, for the window of an input method."""
        focused = self.focused()
        return focused.rect if focused and focused.takes_text else None

    @property
    def selected(self) -> str:
        """The text that is selected in what has the focus."""
        focused = self.focused()
        return focused.selected if focused else ""

    def tell(self, words: str, warns: bool = True) -> None:
        """Say something at the head until the next key or click; what is no trouble ``warns`` of none."""
        self.news, self._warns, self.stale = words, warns, True

    def heading(self) -> Heading:
        """The head of the page."""
        raise NotImplementedError

    def keys(self) -> Sequence[Key]:
        """The keys of the screen; those shown are listed at the foot."""
        return ()

    def body(self, look: Look, box: Rect) -> list[Widget]:
        """The widgets, laid out in the box between head and foot from what the screen knows now."""
        raise NotImplementedError

    def entered(self) -> None:
        """The screen has come to the top, for the first time or again."""

    def left(self) -> None:
        """The screen is no longer on top."""

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - for those that move
        """Time passes (``now`` in seconds, from any start); returns what must be painted again."""
        return []

    def moves_on(self, now: float) -> Next:  # noqa: ARG002 - for those that do
        """Where to go by itself, as time passes (``now`` as for ``tick``)."""
        return None

    def dropped(self, path: Path) -> Next:  # noqa: ARG002 - for those that take files
        """A file was dropped on the window."""
        return None

    # The page

    def lay_out(self, look: Look) -> None:
        """Make the widgets anew; the focus stays on the widget of the same name."""
        page, foot = self.page(look), self.foot(look)
        # As high as it can be, so that two lines of words fit beside the title.
        head = Rect(page.x, page.y + look.u(2), page.w, look.u(82))
        body = Rect(page.x, head.bottom + look.u(2), page.w, foot.top - head.bottom - look.u(14))
        # All widgets are made anew from what the screen knows: none can show what was so before the last event.
        before = {widget.name: widget for widget in self.widgets}
        self.widgets = [*self._head(look, head), *self.body(look, body)]
        for widget in self.widgets:
            if widget.name in before:
                widget.replaces(before[widget.name])
        self._settle_focus()
        # After the focus is settled: in a text field the foot leaves out the keys that would write.
        self.widgets += self._foot(look, foot)

    def is_whole(self, look: Look) -> bool:
        """Whether all of the page is in the window and none of its words are cut or hidden by others."""
        window = Rect((0, 0), look.size)
        if not all(window.contains(widget.rect) and widget.is_whole(look) for widget in self.widgets):
            return False
        solid = [widget.rect for widget in self.widgets if not widget.layered]
        return all(one.collidelist(solid[place + 1 :]) < 0 for place, one in enumerate(solid))

    @staticmethod
    def page(look: Look) -> Rect:
        """The page: the window's middle part, or the left part of a strip, without the side margins."""
        width = min(look.size[0], look.u(WIDEST)) - 2 * look.u(MARGIN)
        # A window wider than any screen shows its left part, where the middle would not be seen.
        left = (look.size[0] - width) // 2 if look.size[0] < MOST_ACROSS * look.size[1] else look.u(MARGIN)
        return Rect(left, 0, width, look.size[1])

    def foot(self, look: Look) -> Rect:
        """The line or two at the foot of the page in which its keys are told."""
        page = self.page(look)
        # By all the keys that the page has now: it stays as high while text is written and some are left out.
        high = hint_height(look, page.w, self._hints(writing=False))
        return Rect(page.x, page.bottom - look.u(4) - high, page.w, high)

    def paint(self, canvas: Surface, look: Look) -> None:
        """Draw the whole page; drawing outside the canvas's clip costs next to nothing."""
        canvas.fill(look.theme.paper)
        self.paint_widgets(canvas, look)

    def paint_widgets(self, canvas: Surface, look: Look) -> None:
        """Draw the widgets that the clip touches, the focus ring last."""
        clip = canvas.get_clip()
        # The focus ring reaches beyond its widget.
        reach = 2 * look.u(8)
        for widget in self.widgets:
            if clip.colliderect(widget.rect.inflate(reach, reach)):
                widget.paint(canvas, look)
                if widget.focused:
                    look.ring(canvas, widget.rect)

    def _news(self, look: Look, box: Rect, title: str) -> list[Widget]:
        """What is to be said, under the title of the page where both have room, else in its place."""
        above, below = rows(box, [look.line("title"), None])
        roles = [role for role in ("body", "small") if look.height(self.news, box.w, role, True) <= below.h]
        colour = "warn" if self._warns else "ink"
        if not roles:
            return [Label("news", box, self.news, bold=True, colour=colour, middle=True)]
        return [
            Label("head title", above, title, "title", bold=True, align="centre", middle=True),
            Label("news", below, self.news, roles[0], bold=True, colour=colour, middle=True),
        ]

    def _head(self, look: Look, box: Rect) -> list[Widget]:
        heading = self.heading()
        if self.news:
            return self._news(look, box, heading.title)
        # The title takes what it needs, up to half; what is beside it shares the rest, so that it stays in the middle.
        title_wide = min(box.w // 2, max(box.w // 4, look.width(heading.title, "title", True) + look.u(24)))
        left, middle, right = columns(box, [None, title_wide, None])
        role, colour = ("lead", "accent") if heading.stress else ("body", "quiet")
        return [
            Label("head left", left, heading.left, role, bold=heading.stress, colour=colour, middle=True),
            Label("head title", middle, heading.title, "title", bold=True, align="centre", middle=True),
            Label("head right", right, heading.right, "body", colour="quiet", align="right", middle=True),
        ]

    def _foot(self, look: Look, box: Rect) -> list[Widget]:
        """The keys that are shown; while text is written those that would write are left out."""
        hints: list[Hint] = hint_row(look, box, self._hints(self.takes_text))
        # A list of its own: to a type checker a list of hints is no list of widgets, which could take in others.
        return [*hints]

    def _hints(self, writing: bool) -> list[tuple[str, str, Callable[[], Next]]]:
        """The keys shown at the foot, as (cap, what it does, act)."""
        keys = [key for key in self.keys() if key.shown and not (writing and key.writes)]
        return [(key.cap or title(key.name), key.says, key.act) for key in keys]

    # Focus

    def focusable(self) -> list[Widget]:
        """The widgets that can have the focus, in the order of Tab."""
        return [widget for widget in self.widgets if widget.focusable]

    def focused(self) -> Widget | None:
        """The widget that has the focus."""
        return next((widget for widget in self.widgets if widget.focused), None)

    def set_focus(self, name: str) -> None:
        """Give the focus to the widget of that name, now or at the next layout."""
        self.focus = name
        for widget in self.widgets:
            widget.focused = widget.focusable and widget.name == name
            if widget.focused and widget.on_focus:
                widget.on_focus()

    def lose_focus(self) -> None:
        """Show no focus, while another screen lies over this one."""
        for widget in self.widgets:
            widget.focused = False

    def _settle_focus(self) -> None:
        names = [widget.name for widget in self.focusable()]
        # What had the focus may be gone from the page: it falls to the first that can have it.
        if self.focus not in names:
            self.focus = names[0] if names else ""
        for widget in self.widgets:
            widget.focused = widget.focusable and widget.name == self.focus

    def _travel(self, name: str, back: bool) -> None:
        others = self.focusable()
        here = next((k for k, widget in enumerate(others) if widget.focused), None)
        if name == "tab":
            there = along(len(others), here, -1 if back else 1)
        elif here is not None and name in ARROWS:
            there = towards([widget.rect for widget in others], here, ARROWS[name])
        else:
            return
        if there is not None:
            self.set_focus(others[there].name)

    # Events

    def handle(self, event: pygame.Event) -> Next:
        """Take an event and say what comes next; sets ``stale`` when the page must be painted again."""
        if event.type in (pygame.KEYDOWN, pygame.MOUSEBUTTONDOWN):
            self.news = ""
        if event.type == pygame.KEYDOWN:
            self.stale = True
            return self._key(event)
        if event.type in (pygame.TEXTINPUT, pygame.TEXTEDITING):
            focused = self.focused()
            self.stale = bool(focused and focused.takes_text and focused.take(event)) or self.stale
        elif event.type == pygame.DROPFILE:
            self.stale = True
            return self.dropped(Path(event.file))
        return self._mouse(event)

    def _mouse(self, event: pygame.Event) -> Next:
        if event.type == pygame.MOUSEBUTTONDOWN and event.button == 1:
            self.stale = True
            return self._click(event.pos)
        if event.type == pygame.MOUSEBUTTONUP and event.button == 1:
            self._held = ""
        elif event.type == pygame.MOUSEMOTION:
            self._hover(event.pos)
            self._drag(event)
        elif event.type == pygame.MOUSEWHEEL:
            self._wheel(event.y)
        return None

    def _key(self, event: pygame.Event) -> Next:
        # A field of text comes first, so that its letters are no shortcuts; then the keys of the page, which are
        # printed at its foot; then what the widget at hand makes of the key.
        name, focused = key_name(event), self.focused()
        if focused and focused.takes_text:
            if focused.take(event) or _writes(event, name):
                return None
            if name == "return":
                return focused.press()
        command = self._command(name)
        if command:
            return command()
        if focused and focused.take(event):
            return None
        if focused and name in ("return", "space"):
            return focused.press()
        self._travel(name, back=bool(event.mod & pygame.KMOD_SHIFT))
        return None

    def _command(self, name: str) -> Callable[[], Next] | None:
        """The act of a key anywhere on the screen: of the screen's own keys first, then of the widgets'."""
        keys = {key.name: key.act for key in self.keys()}
        widgets = {widget.key: widget.press for widget in self.widgets if widget.key}
        return keys.get(name) or widgets.get(name)

    def _click(self, at: tuple[int, int]) -> Next:
        widget = self._at(at)
        if widget is None:
            return None
        if widget.focusable and widget.focus_by_click:
            self.set_focus(widget.name)
        self._held = widget.name
        return widget.click(at)

    def _drag(self, event: pygame.Event) -> None:
        """Give a move of the mouse to what its button went down on."""
        if not event.buttons[0]:
            self._held = ""
        # By name: the widgets are made anew after every event, and a drag goes on.
        held = next((widget for widget in self.widgets if widget.name == self._held), None)
        if held is not None and held.drag(event.pos):
            self.stale = True

    def _hover(self, at: tuple[int, int]) -> None:
        under = self._at(at)
        for widget in self.widgets:
            # Only where the mouse goes from one widget to another: it moves a hundred times a second over the same one.
            if widget.hovered != (widget is under):
                widget.hovered = widget is under
                self.stale = True

    def _wheel(self, up: int) -> None:
        widget = next((widget for widget in self.widgets if widget.hovered), None)
        # The wheel counts upwards, rows count downwards.
        if widget is not None and widget.scroll(-up):
            self.stale = True

    def _at(self, at: tuple[int, int]) -> Widget | None:
        # What was laid out last lies on top.
        under = (widget for widget in reversed(self.widgets) if widget.rect.collidepoint(at))
        return next((widget for widget in under if not widget.layered), None)


def _writes(event: pygame.Event, name: str) -> bool:
    """Whether a key writes a letter into a text field, so that no shortcut may take it."""
    command = event.mod & (pygame.KMOD_CTRL | pygame.KMOD_ALT | pygame.KMOD_META)
    return _is_letter(name) and not command


def _is_letter(name: str) -> bool:
    """Whether a key of that name writes something, held down alone."""
    return len(name) == 1 or name == "space"
