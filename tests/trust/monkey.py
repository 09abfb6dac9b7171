"""Random events through the real loop: every kind that a window can get, from a fixed seed.

``python -m tests.trust.monkey [EVENTS] [SEED]`` prints the screens that were reached and how memory grew.
"""

import argparse
import ctypes
import gc
import os
import resource
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import Any
from zlib import crc32

import pygame

from game.app import App, close_display, open_display
from game.records import Records, RecordsError
from game.screens.base import Screen
from game.screens.context import open_context
from game.screens.home.demo import DemoHome
from game.screens.home.first_start import FirstStart
from game.screens.home.home import Home, first_screens
from game.screens.home.ways import DEMO, SETTINGS, WAYS
from game.screens.notices.error import ErrorPage
from game.screens.notices.unkept import Unkept
from game.widgets.moves import Page
from shared.counting import parse_bar
from shared.levels import SHIPPED
from shared.orchestration import Setting, arrange
from tests.trust.surroundings import Surroundings, surrounded
from tests.trust.troubles import Troubles

START = 1_750_000_000.0
KEYS = (
    *"abcdefghijklmnopqrstuvwxyz0123456789", "return", "space", "tab", "escape", "backspace", "delete", "left", "right",
    "up", "down", "page up", "page down", "home", "end", "f1", "f5", "f11", "+", "-", "/", ".", "kp_1",
)  # fmt: skip
SIZES = ((1024, 640), (1366, 768), (1920, 1080), (1101, 913), (640, 400), (320, 200), (1, 1), (2560, 640))
TEXTS = ("a", "1", " ", "é", "Ω", "你", "\N{DRUM WITH DRUMSTICKS}", "1 e & a", "\u202eabc", "x" * 300)
WAY_KEYS = "".join(way.key for way in (*WAYS, SETTINGS, DEMO))
PAINTED = 0.5
"""How often the loop goes round after something has happened; a fast hand does more than one thing in a frame."""

EASED, STARTED_AGAIN = 0.05, 100
"""How likely a trouble passes at each event, and the events after which who plays unkept starts the program again."""

ROUND = 40
"""Events after which the walk is now and then brought home, so that it does not stay in one corner."""

STRETCH = 500
"""Events, at the least, from one look at the memory to the next: nothing grows to speak of in fewer."""


@dataclass
class Monkey:
    """Somebody at the keys and the mouse who seldom looks at what is there.

    ``files`` are what is dropped on the window, ``top`` tells the screen that is looked at, ``around`` is where the
    window stands: with pads to strike and a microphone that hears it.
    """

    random: Random
    around: Surroundings
    files: list[Path]
    top: Callable[[], Page]
    size: tuple[int, int] = (1024, 640)
    time: float = START
    kinds: list[tuple[int, Callable[[], list[pygame.Event]]]] = field(init=False)

    def __post_init__(self) -> None:
        self.kinds = [
            (40, self._key), (6, self._answer), (10, self._offered), (20, self._click), (8, self._move),
            (6, self._wheel), (5, self._text), (3, self._focus), (2, self._resize), (2, self._drop),
            (2, self._device), (1, self._odd), (2, self._strike),
        ]  # fmt: skip

    def now(self) -> float:
        """The wall clock, which jumps now and then, back as well."""
        if self.random.random() < 0.001:
            self.time += self.random.choice((-86_400.0, 3600.0, 86_400.0 * 30))
        self.time += 0.05
        return self.time

    def events(self) -> list[pygame.Event]:
        """The next thing that happens, as SDL tells it."""
        weights, kinds = zip(*self.kinds, strict=True)
        act: Callable[[], list[pygame.Event]] = self.random.choices(kinds, weights)[0]
        return act()

    def _at(self) -> tuple[int, int]:
        return self.random.randrange(-5, self.size[0] + 5), self.random.randrange(-5, self.size[1] + 5)

    def _key(self) -> list[pygame.Event]:
        key = pygame.key.key_code(self.random.choice(KEYS).replace("kp_1", "keypad 1"))
        mod = self.random.choice((0, 0, 0, 0, pygame.KMOD_SHIFT, pygame.KMOD_CTRL, pygame.KMOD_ALT))
        event = {"key": key, "mod": mod, "unicode": "", "scancode": 0}
        return [pygame.Event(pygame.KEYDOWN, event), pygame.Event(pygame.KEYUP, event)]

    def _answer(self) -> list[pygame.Event]:
        """The keys of somebody who hears a bar, says four figures and hands in."""
        names = "space", *(self.random.choice("1234") for _ in range(4)), "return"
        keys = (pygame.key.key_code(name) for name in names)
        return [pygame.Event(pygame.KEYDOWN, key=key, mod=0, unicode="", scancode=0) for key in keys]

    def _offered(self) -> list[pygame.Event]:
        """A click on something of the screen, as by one who looks."""
        top = self.top()
        widgets = [widget for widget in top.widgets if all(widget.rect.size)] if isinstance(top, Screen) else []
        return self._clicked(self.random.choice(widgets).rect.center, 1) if widgets else []

    def _click(self) -> list[pygame.Event]:
        return self._clicked(self._at(), self.random.choice((1, 1, 1, 2, 3, 4, 8)))

    def _clicked(self, at: tuple[int, int], button: int) -> list[pygame.Event]:
        kinds = (pygame.MOUSEBUTTONDOWN, pygame.MOUSEBUTTONUP)
        return [self._moved(at), *(pygame.Event(kind, pos=at, button=button) for kind in kinds)]

    def _move(self) -> list[pygame.Event]:
        return [self._moved(self._at())]

    def _moved(self, at: tuple[int, int]) -> pygame.Event:
        return pygame.Event(pygame.MOUSEMOTION, pos=at, rel=(1, 1), buttons=(self.random.randrange(2), 0, 0))

    def _wheel(self) -> list[pygame.Event]:
        turns = self.random.randint(-3, 3)
        return [self._moved(self._at()), pygame.Event(pygame.MOUSEWHEEL, x=0, y=turns, flipped=False)]

    def _text(self) -> list[pygame.Event]:
        return [pygame.Event(self.random.choice((pygame.TEXTINPUT, pygame.TEXTEDITING)),
                             text=self.random.choice(TEXTS), start=0, length=0)]  # fmt: skip

    def _focus(self) -> list[pygame.Event]:
        kinds = (
            pygame.WINDOWFOCUSGAINED, pygame.WINDOWFOCUSLOST, pygame.WINDOWEXPOSED, pygame.WINDOWMINIMIZED,
            pygame.WINDOWRESTORED, pygame.WINDOWENTER, pygame.WINDOWLEAVE,
        )  # fmt: skip
        return [pygame.Event(self.random.choice(kinds))]

    def _resize(self) -> list[pygame.Event]:
        return self.resized(self.random.choice(SIZES))

    def resized(self, size: tuple[int, int]) -> list[pygame.Event]:
        """The window has another size now."""
        self.size = size
        pygame.display.set_mode(self.size, pygame.RESIZABLE)
        return [pygame.Event(pygame.VIDEORESIZE, size=self.size, w=self.size[0], h=self.size[1])]

    def _drop(self) -> list[pygame.Event]:
        return [pygame.Event(pygame.DROPFILE, file=str(self.random.choice(self.files)))]

    def _device(self) -> list[pygame.Event]:
        kind = self.random.choice((pygame.AUDIODEVICEREMOVED, pygame.AUDIODEVICEADDED))
        return [pygame.Event(kind, which=self.random.randrange(3), iscapture=self.random.randrange(2))]

    def _strike(self) -> list[pygame.Event]:
        """A stroke on a pad, which a microphone hears too; no event of the window's."""
        self.around.strike()
        return []

    def _odd(self) -> list[pygame.Event]:
        return [pygame.Event(pygame.USEREVENT), pygame.Event(pygame.DROPTEXT, text="1 e & a")]


@dataclass(frozen=True)
class Memory:
    """What this process takes, in bytes: in use on its heap, and resident once the heap's holes are given back.

    Where glibc does not tell, both are what is resident.  ``records`` is what of both the records take that have no
    disk any more: they hold all that the file held, and what came after.
    """

    in_use: int
    resident: int
    records: int = 0

    def since(self, before: "Memory") -> "Memory":
        """By how much more this is, apart from records in memory."""
        moved = self.records - before.records
        return Memory(self.in_use - before.in_use - moved, self.resident - before.resident - moved, moved)


@dataclass
class Walk:
    """What came of a walk: every screen that was on top, every one that was left, and the memory along the way.

    ``way`` is a CRC-32 of the screens in their order: the same for every walk of a seed.
    """

    screens: Counter[str] = field(default_factory=Counter)
    left: Counter[str] = field(default_factory=Counter)
    memory: list[Memory] = field(default_factory=list)
    slowest: float = 0.0
    troubles: Counter[str] = field(default_factory=Counter)
    way: int = 0
    _top: Page | None = None

    def see(self, top: Page) -> None:
        """A screen is on top now."""
        if self._top is not None and top is not self._top:
            self.left[type(self._top).__name__] += 1
        name = type(top).__name__
        self.screens[name] += 1
        # No list of all names: it would count as memory that grows.
        self.way = crc32(name.encode(), self.way)
        self._top = top

    @property
    def growth(self) -> Memory:
        """By how many bytes memory grew over the second half of the walk; in the first half the caches fill."""
        return self.memory[-1].since(self.memory[len(self.memory) // 2])


class _Heap(ctypes.Structure):
    """What glibc tells of its heap."""

    _fields_ = [
        (name, ctypes.c_size_t)
        for name in ("arena", "ordblks", "smblks", "hblks", "hblkhd", "usmblks", "fsmblks", "used", "free", "top")
    ]


SMALL_BLOCK = 64
"""About how many bytes one of Python's own small blocks takes."""


def memory() -> Memory:
    """What this process takes now.

    What a heap keeps for later, because surfaces of many sizes have left holes in it, is no growth.
    """
    gc.collect()
    glibc = ctypes.CDLL(None) if sys.platform == "linux" else None
    if glibc is None or not hasattr(glibc, "mallinfo2"):
        return Memory(_resident(), _resident())
    glibc.mallinfo2.restype = _Heap
    heap = glibc.mallinfo2()
    glibc.malloc_trim(0)
    return Memory(int(heap.used + heap.hblkhd) + SMALL_BLOCK * sys.getallocatedblocks(), _resident())


def _resident() -> int:
    status = Path("/proc/self/statm")
    if status.exists():
        return int(status.read_text("ascii").split()[1]) * resource.getpagesize()
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * (1 if sys.platform == "darwin" else 1024)


def files_to_drop(folder: Path) -> list[Path]:
    """Files of every kind that might be dropped: good, bad, odd, missing."""
    folder.mkdir(parents=True)
    good = (SHIPPED / "stage-2.toml").read_text("utf-8")
    contents = {
        "good.toml": good, "bad.toml": "format = [", "empty.toml": "", "history.json": "{", "picture.png": "\0\1",
        "notes.txt": "1 e & a", "../sly.toml": good, "ünïcödé 🥁.toml": good,
    }  # fmt: skip
    paths = [folder / name for name in contents]
    for path, content in zip(paths, contents.values(), strict=True):
        path.write_text(content, "utf-8")
    return [*paths, folder, folder / "not there.toml"]


def walk(
    events: int, seed: int, folder: Path, restless: float = 0.15, samples: int = 20, troubled: float = 0.002
) -> Walk:
    """Send random events through the loop.  Raises whatever an error page would show.

    ``restless`` is how likely the walk is brought home after every 40 events, and ``troubled`` how likely each event
    is one that befalls the records.  It begins with damaged records and a backup of them; towards its end the
    records can no longer be written.

    Two walks of a seed are the same to the last page, on one version of SDL, SQLite and numpy: each has its own time,
    home, pads and microphone.  What memory they take is the machine's.
    """
    random = Random(seed)
    with surrounded(random, folder) as around:
        data = Path("data")
        damage(data)
        walker = Walker(random, data, troubled, around)
        walked = walker.walked
        try:
            for number in range(events):
                if number == events * 19 // 20:
                    walker.forbid_writing()
                if number == events // 10:
                    walker.show_first()
                walker.befall(number)
                walker.act(number)
                if number % ROUND == ROUND - 1 and walker.random.random() < restless:
                    walker.home()
                if number % max(STRETCH, events // samples) == 0:
                    walked.memory.append(walker.rest())
            walked.memory.append(walker.rest())
        finally:
            walker.close()
    return walked


class Walker:
    """A window that is walked through, and what befalls it."""

    def __init__(self, random: Random, data: Path, troubled: float, around: Surroundings) -> None:
        self.random = random
        self.troubled = troubled
        self.walked = Walk()
        self._data, drop = data, data.with_name("drop")
        self._around = around
        self._monkey = Monkey(random, around, files_to_drop(drop / "here"), lambda: self.app.top)
        self._troubles = Troubles(random, data, drop / "aside", self.walked.troubles)
        self._unkept_since: int | None = None
        self.app = self._start(open_display(self._monkey.size))

    def _start(self, canvas: pygame.Surface) -> App:
        context = open_context(self._monkey.now, lambda: self.random.randrange(2**32), folder=self._data)
        return App(context, first_screens(context), canvas)

    def befall(self, number: int) -> None:
        """Now and then something befalls the records, or passes; who plays unkept for long starts again."""
        records = self.app.context.records
        if self.random.random() < self.troubled:
            self._troubles.strike(records)
        elif self.random.random() < EASED:
            self._troubles.ease(records)
        if records.lasting or not self.troubled:
            self._unkept_since = None
        elif self._unkept_since is None:
            self._unkept_since = number
        elif number - self._unkept_since > STARTED_AGAIN:
            self.again()

    def act(self, number: int) -> None:
        """One thing happens, and the loop may go round."""
        self._around.pass_on()
        for event in self._monkey.events():
            pygame.event.post(event)
        if self.random.random() < PAINTED:
            began = time.thread_time()
            if not _step(self.app, number):
                self._bearing(lambda: _show(self.app, Home(self.app.context)))
            self.walked.slowest = max(self.walked.slowest, time.thread_time() - began)
        self.walked.see(self.app.top)

    def forbid_writing(self) -> None:
        """From now on the records can only be read, where they are on a disk, and nothing else befalls them."""
        self.troubled = 0.0
        if self.app.context.records.lasting:
            self.app.context.records.database.connection.execute("PRAGMA query_only = ON")

    def show_first(self) -> None:
        """The pages of a first start."""
        self._bearing(lambda: _show(self.app, Home(self.app.context), FirstStart(self.app.context)))

    def home(self) -> None:
        """Back to the first page, and from there one of the ways on."""
        self._bearing(lambda: _home(self.app))
        self.walked.see(self.app.top)
        key = ord(self.random.choice(WAY_KEYS))
        pygame.event.post(pygame.Event(pygame.KEYDOWN, key=key, mod=0, unicode=""))

    def _bearing(self, act: Callable[[], None]) -> None:
        """Do what no player does, outside the loop; where the records are in trouble, start again instead."""
        try:
            act()
        except RecordsError:
            self.again()

    def again(self) -> None:
        """Close the window and start anew, when what passes has passed."""
        canvas = self.app.canvas
        self._leave()
        self.app = self._start(canvas)
        self._unkept_since = None

    def _leave(self) -> None:
        self._troubles.ease(self.app.context.records)
        self.app.top.left()
        for screen in self.app.stack:
            if isinstance(screen, DemoHome):
                screen.context.records.close()
        self.app.context.close()

    def rest(self) -> Memory:
        """The memory that is taken at rest, with records that nothing has befallen."""
        if self.walked.troubles:
            self.again()
        return at_rest(self.app, self._monkey)

    def close(self) -> None:
        """Close the window for good."""
        self._leave()
        pygame.event.clear()
        close_display()


def at_rest(app: App, monkey: Monkey) -> Memory:
    """What memory is taken at the first page, in the smallest window, after one and the same short bar."""
    pygame.event.clear()
    for event in monkey.resized(SIZES[0]):
        pygame.event.post(event)
    _home(app)
    app.step(0.0)
    sound = app.context.sound
    sound.play(arrange(parse_bar("1 2 3 4"), Setting(tempo=200)))
    sound.stop()
    records = app.context.records
    size = 1
    for pragma in ("page_size", "page_count"):
        size *= records.database.rows(f"PRAGMA {pragma}")[0][0]
    return replace(memory(), records=0 if records.lasting else size)


def damage(folder: Path) -> None:
    """Records of a player with a backup of the day, and then no records any more but noise."""
    for _ in range(2):
        with Records.open(folder, START) as records:
            records.player_named("Wren") or records.add_player("Wren", START)
    (folder / "records.sqlite").write_bytes(b"Dear diary" * 2000)


def _step(app: App, number: int) -> bool:
    """Let the loop go round; False where the window was closed.  Raises what an error page shows."""
    if not app.step(number / 60):
        return False
    if isinstance(app.top, ErrorPage):
        raise app.top.error
    told = [page for page in app.stack if isinstance(page, Unkept)]
    assert len(told) <= 1, "the page that tells of a fault stands over itself"
    assert not any(page.stale for page in told if page is app.top), "a fault was not told at once"
    return True


def _show(app: App, *screens: Screen) -> None:
    """Screens as a start shows them."""
    app.stack = list(screens)
    app.top.entered()
    app.top.lay_out(app.look)


def _home(app: App) -> None:
    """Back to the first page, as many an impatient player goes."""
    app.top.left()
    for screen in app.stack[1:]:
        if isinstance(screen, DemoHome):
            screen.context.records.close()
    del app.stack[1:]
    app.top.entered()
    app.top.lay_out(app.look)


def every_screen() -> set[str]:
    """The names of all screens that the game has, the error page apart."""
    from importlib import import_module
    from inspect import getmembers, isclass
    from pkgutil import walk_packages

    import game.screens

    found: set[str] = set()
    for found_module in walk_packages(game.screens.__path__, "game.screens."):
        module: Any = import_module(found_module.name)
        found |= {
            name
            for name, kind in getmembers(module, isclass)
            if issubclass(kind, Screen) and kind.heading is not Screen.heading and kind.body is not Screen.body
        }
    return found - {"ErrorPage"}


def main() -> None:
    """Walk and print what came of it."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust.monkey", description=__doc__)
    parser.add_argument("events", nargs="?", type=int, default=100_000)
    parser.add_argument("seed", nargs="?", type=int, default=7)
    options = parser.parse_args()
    # The walk needs neither a screen nor a sound card, and disturbs nobody who has one.
    os.environ.setdefault("SDL_VIDEODRIVER", "dummy")
    os.environ.setdefault("SDL_AUDIODRIVER", "dummy")
    with tempfile.TemporaryDirectory() as folder:
        walked = walk(options.events, options.seed, Path(folder))
    print("\n".join(f"{times:8}  {name}" for name, times in walked.screens.most_common()))
    print("not reached:", ", ".join(sorted(every_screen() - set(walked.screens))) or "none")
    print("not left:", ", ".join(sorted(every_screen() - set(walked.left))) or "none")
    print(f"way: {walked.way:08x}, the same for every walk of this seed")
    print("troubles:", ", ".join(f"{name} {times}" for name, times in walked.troubles.most_common()) or "none")
    print("in use, MB:", " ".join(f"{found.in_use / 1e6:.1f}" for found in walked.memory))
    print("resident, MB:", " ".join(f"{found.resident / 1e6:.1f}" for found in walked.memory))
    grown = walked.growth
    print(
        f"grew over the second half, MB: {grown.in_use / 1e6:.2f} in use, {grown.resident / 1e6:.2f} resident, "
        f"and {grown.records / 1e6:.2f} for records that lost their disk"
    )
    print(f"slowest round {walked.slowest:.2f} s; {time.process_time():.0f} s of the processor in all")


if __name__ == "__main__":
    main()
