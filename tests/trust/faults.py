"""What can go wrong under a running window, each as one session with one fault, and what was lost or doubled by it."""

import os
import shutil
import signal
import sqlite3
import subprocess
import time
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from random import Random
from typing import NamedTuple

from game.learning.evidence import Answer
from game.records import Records
from game.records.schema import MIGRATIONS
from tests.trust.session import Session

DAY = 86_400.0
FILE = "records.sqlite"


class TrustError(AssertionError):
    """A fault was not borne as it should be."""


@dataclass
class Tally:
    """A fault, how often it was tried, how many answers were shown as kept, lost of them, and kept beyond them."""

    fault: str
    times: int = 0
    shown: int = 0
    lost: int = 0
    extra: int = 0


class Found(NamedTuple):
    """How many answers were shown as kept, how many of them are not in the records, and how many are too many there."""

    shown: int
    lost: int
    extra: int


def check(holds: object, what: str) -> None:
    """Raise ``TrustError`` unless something holds."""
    if not holds:
        raise TrustError(what)


def kept(folder: Path) -> Counter[Answer]:
    """Every answer in the records, which must be sound and open without a word."""
    with closing(sqlite3.connect(folder / FILE)) as connection:
        check(connection.execute("PRAGMA integrity_check").fetchone() == ("ok",), "the file is not sound")
    with Records.open(folder, time.time()) as records:
        check(records.opening.notice is None, f"the next start needs help: {records.opening.notice}")
        return Counter(answer for player in records.players() for answer in records.answers(player))


def contents(path: Path) -> list[str]:
    """Every row of a records file, by SQLite's own dump; nothing where its full check finds a fault."""
    with closing(sqlite3.connect(path)) as connection, suppress(sqlite3.DatabaseError, UnicodeDecodeError):
        if connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]:
            return list(connection.iterdump())
    return []


IN_HAND = 4
"""Answers that a session may have kept and not yet shown when it ends: those of one bar."""


def compared(folder: Path, *sessions: Session) -> Found:
    """What all the sessions of a data folder showed as kept, against what the records hold.

    Too many are answers that are there twice, and those that were never shown, but for one bar a session.
    """
    shown = Counter(answer for session in sessions for answer in session.shown_as_kept)
    there = kept(folder)
    doubled = there.total() - len(there)
    unshown = len(there.keys() - shown.keys()) - IN_HAND * len(sessions)
    return Found(shown.total(), (shown - there).total(), doubled + max(0, unshown))


Fault = Callable[[Path, Random], Found]
"""Plays in a data folder with a fault, and compares what was shown with what is kept."""


def killed(folder: Path, moments: Random) -> Found:
    """Killed at a random moment, the start and the first picture included; the folder may have been played in."""
    before = kept(folder) if (folder / FILE).exists() else Counter()
    with Session(folder) as session:
        if moments.random() < 0.8:
            session.wait_for("shown", moments.randint(1, 4))
        time.sleep(moments.uniform(0, 0.3))
        session.kill()
        session.ended()
        check(session.code == -signal.SIGKILL, f"the session ended by itself, code {session.code}")
    if not (folder / FILE).exists():
        return Found(0, 0, 0)
    found = compared(folder, session)
    return found._replace(extra=max(0, found.extra - len(before)), lost=found.lost + (before - kept(folder)).total())


def doubtful(folder: Path, moments: Random) -> Found:
    """What is kept lands, yet an error is reported, again and again: each time the player hands in once more."""
    bars = moments.randint(6, 10)
    with Session(folder, "--bars", str(bars), "--doubtful", str(moments.randint(2, 4))) as session:
        session.ended()
    check(session.code == 0, f"the session ended with code {session.code}: {session.errors}")
    check(session.said("asked"), "no error was reported")
    check(session.said("shown")[-1]["lasting"], "play went on unkept")
    return compared(folder, session)


def disk_full(folder: Path, moments: Random) -> Found:
    """The disk is full in the middle of a round, for the rest of the session."""
    with small_disk(folder), Session(folder, "--bars", "8") as session:
        session.wait_for("shown", moments.randint(1, 4))
        fill(folder)
        _goes_on_unkept(session)
        (folder / "ballast").unlink()
        return compared(folder, session)


def no_room_in_file(folder: Path, moments: Random) -> Found:
    """The file may grow no further (a quota), for the rest of the session; it is nearly full at the start."""
    with Session(folder, "--bars", str(moments.randint(18, 24))) as first:
        first.ended()
    room = (folder / FILE).stat().st_size
    with Session(folder, "--bars", "60", "--unkept", "3", limit=room) as session:
        _goes_on_unkept(session)
    return compared(folder, first, session)


def vanished(folder: Path, moments: Random) -> Found:
    """The data folder is moved away in the middle of a round."""
    elsewhere = folder.with_name(folder.name + "-elsewhere")
    with Session(folder, "--bars", "8") as session:
        session.wait_for("shown", moments.randint(1, 4))
        folder.rename(elsewhere)
        _goes_on_unkept(session)
    return compared(elsewhere, session)


def read_only(folder: Path, moments: Random) -> Found:
    """The data folder can't be written from the start on; it holds records that were written before."""
    with small_disk(folder):
        with Session(folder, "--bars", str(moments.randint(1, 3))) as first:
            first.ended()
        before = (folder / FILE).read_bytes()
        with locked_away(folder), Session(folder, "--bars", "2") as session:
            session.ended()
        check("read-only" in session.notice, f"nothing was said: {session.notice!r}")
        check(session.code == 0 and len(session.said("shown")) == 2, "play did not go on")
        check((folder / FILE).read_bytes() == before, "the file was changed")
        return compared(folder, first, session)


def two_windows(folder: Path, moments: Random) -> Found:
    """Two windows play on one record at once."""
    bars = str(moments.randint(4, 8))
    with Session(folder, "--bars", bars) as one, Session(folder, "--bars", bars) as other:
        for session in (one, other):
            session.ended()
            check(session.code == 0, f"a window ended with code {session.code}: {session.errors}")
            check(session.lasting, "a window played in memory")
            check(not session.said("asked"), "a window could not write")
    return compared(folder, one, other)


def clock_set_back(folder: Path, moments: Random) -> Found:
    """The machine's clock jumps back a day in the middle of a round, and stays there at the next start."""
    after = str(moments.uniform(0.2, 1.0))
    with Session(folder, "--bars", "12", "--back", str(DAY), "--after", after) as first:
        first.ended()
    with Session(folder, "--bars", "3", "--back", str(DAY)) as second:
        second.ended()
    for session in (first, second):
        check(session.code == 0, f"a session ended with code {session.code}: {session.errors}")
    return compared(folder, first, second)


def newer_version(folder: Path, moments: Random) -> Found:
    """The records were written by a later version: refused kindly, untouched, and play goes on unkept."""
    with Session(folder, "--bars", str(moments.randint(1, 3))) as first:
        first.ended()
    _set_version(folder, 99)
    before = (folder / FILE).read_bytes()
    with Session(folder, "--bars", "2") as session:
        session.ended()
    check("later Drumlin" in session.notice, f"nothing was said: {session.notice!r}")
    check(session.code == 0 and not session.lasting, "play did not go on unkept")
    check((folder / FILE).read_bytes() == before, "the file was changed")
    _set_version(folder, MIGRATIONS[-1].version)
    return compared(folder, first, session)


def cut_short(folder: Path, moments: Random) -> Found:
    """The file is cut short between two sessions."""
    return _damaged(folder, moments, lambda data: data[: moments.randrange(200, len(data) - 1)])


def bits_flipped(folder: Path, moments: Random) -> Found:
    """Bits of the file's tables and pages are flipped between two sessions."""

    def flip(data: bytes) -> bytes:
        page = 4096 * moments.randrange(1, len(data) // 4096)
        spoilt = bytearray(data)
        for place in [*range(page, page + 8), moments.randrange(100, len(data))]:
            spoilt[place] ^= 1 << moments.randrange(8)
        return bytes(spoilt)

    return _damaged(folder, moments, flip)


def _damaged(folder: Path, moments: Random, damage: Callable[[bytes], bytes]) -> Found:
    """Play, damage, start again: the file is set aside byte for byte, and the window brings the backup back.

    Damage to what holds nothing, such as an empty page, may go unseen; then by SQLite's own words the file is sound
    and every row of it is as it was.
    """
    with Session(folder, "--bars", str(moments.randint(2, 6))) as first:
        first.ended()
    Records.open(folder, time.time()).close()
    before = contents(folder / FILE)
    spoilt = damage((folder / FILE).read_bytes())
    (folder / FILE).write_bytes(spoilt)
    whole = contents(folder / FILE) == before
    with Session(folder, "--bars", "2") as session:
        session.ended()
    check(session.code == 0, f"the session ended with code {session.code}: {session.errors}")
    offers = [line["asked"] for line in session.said("asked")]
    asides = [path.read_bytes() for path in folder.glob("records-damaged-*.sqlite")]
    seen = (offers, asides) == (["RestoreOffer"], [spoilt])
    check(seen or not (offers or asides), f"set aside and offered by halves: {offers} {len(asides)}")
    check(seen or whole, "something was lost or changed, and nothing was said")
    return compared(folder, first, session)


def _goes_on_unkept(session: Session) -> None:
    """The fault is told once, and play goes on until the session is through."""
    session.ended()
    check(session.code == 0, f"the session ended with code {session.code}: {session.errors}")
    questions = [line["question"] for line in session.said("asked")]
    check(len(questions) == 1, f"asked {len(questions)} times: {questions}")
    check(not session.said("shown")[-1]["lasting"], "play did not go on unkept")


def _set_version(folder: Path, version: int) -> None:
    with closing(sqlite3.connect(folder / FILE)) as connection:
        connection.execute(f"PRAGMA user_version = {version}")


@contextmanager
def small_disk(folder: Path) -> Iterator[None]:
    """The folder as a disk of 1 MB, where this process may mount one."""
    folder.mkdir(parents=True)
    mounted = _mount("-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder))
    try:
        yield
    finally:
        if mounted:
            subprocess.run(["umount", "-l", str(folder)], check=False)


def may_mount(folder: Path) -> bool:
    """Whether a disk of its own can be had."""
    with small_disk(folder):
        return folder.is_mount()


def _mount(*words: str) -> bool:
    if not hasattr(os, "geteuid") or os.geteuid() or not shutil.which("mount"):
        return False
    return subprocess.run(["mount", *words], check=False, capture_output=True).returncode == 0


def fill(folder: Path) -> None:
    """Write to the folder's disk until nothing more goes on it."""
    with (folder / "ballast").open("wb", buffering=0) as ballast, suppress(OSError):
        while True:
            ballast.write(bytes(512))


@contextmanager
def locked_away(folder: Path) -> Iterator[None]:
    """The folder, not to be written: by its permissions, or for root by its disk."""
    mounted = _mount("-o", "remount,ro", str(folder))
    folder_mode = folder.stat().st_mode
    if not mounted:
        folder.chmod(0o555)
    try:
        yield
    finally:
        if mounted:
            _mount("-o", "remount,rw", str(folder))
        else:
            folder.chmod(folder_mode)


FAULTS: dict[str, Fault] = {
    "killed": killed,
    "kept, yet an error reported": doubtful,
    "disk full": disk_full,
    "no room in the file": no_room_in_file,
    "folder vanished": vanished,
    "read-only folder": read_only,
    "two windows": two_windows,
    "clock set back a day": clock_set_back,
    "record of a newer version": newer_version,
    "record cut short": cut_short,
    "bits flipped": bits_flipped,
}
"""Every fault by the name it has in the table."""

SMALL_DISK = ("disk full", "read-only folder")
"""The faults that want a disk of their own (root's, or another user's for the second)."""


def tried(name: str, times: int, scratch: Path, seed: int = 7) -> Tally:
    """Try a fault so many times.  Kills go on in one folder, as a machine's do; other faults begin anew."""
    moments, tally = Random(seed), Tally(name)
    for number in range(times):
        folder = scratch / "data" if name == "killed" else scratch / f"data-{number}"
        found = FAULTS[name](folder, moments)
        tally.times += 1
        tally.shown += found.shown
        tally.lost += found.lost
        tally.extra += found.extra
    return tally


HEAD = f"{'fault':28}{'times tried':>12}{'answers shown':>15}{'lost':>6}{'too many':>10}"


def row(tally: Tally) -> str:
    """A row of the fault table."""
    return f"{tally.fault:28}{tally.times:12}{tally.shown:15}{tally.lost:6}{tally.extra:10}"
