"""A recording on the page: dropped, named or made here, and read into bars of figures."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from threading import Thread

import numpy as np
from pygame import Rect

from audio.microphone import CLEAR, MicrophoneError, loudness_words
from audio.recordings import RecordingRead, read_recording
from audio.takes import Recording, load_take
from audio.wav import wav_bytes
from game.pieces import KINDS, Piece, write_piece
from game.records import RecordsError
from game.records.folders import day, made_folder, unused
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.saving import shown_path
from game.sessions.playing.recorded import bar_words, other_figures, place_in, readable, remarks
from game.sessions.playing.report import WORTH_A_WORD, Report, report
from game.widgets.base import Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.controls import TARGET, Button, Choice
from game.widgets.editing import Edited
from game.widgets.lists import ListBox, Row
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.stave import LARGEST_SPACE
from game.widgets.take import TakeView, hands_of, stalks_of
from game.widgets.text_field import TextField
from game.widgets.texts import paragraphs
from game.wording import counted
from shared.bars import Bar
from shared.counting import parse_bar
from shared.errors import UserError
from shared.files import FileError, shown, write_beside
from shared.levels import spelled
from shared.orchestration import Setting, arrange
from shared.passages import check_tempo
from shared.reading import Placed, ReadBeat, Reading
from shared.strokes import LONGEST_TAKE

FOLDER = "takes"
"""The folder of the data folder into which takes and what is read of them are written, when the player says so."""

HOW = (
    "Drop a recording of your playing on this window, write where it is, or record one here. It begins with a "
    "count-in: clicks, or strokes of yours."
)
ABOUT = (
    "WAV, FLAC, OGG, MP3 and MIDI files up to ten minutes are read. One drum or a practice pad is clearest.",
    "Choose how many beats are counted in. With none the first beat lies at the beginning of the file, and the tempo "
    "must be given; else it may be left empty.",
    "Each beat is read as one of this level's figures, or another where none of them fits. Write what was to be "
    "played as a count, such as 1 e a 2 3 4, and each beat that was played otherwise is named.",
    "A beat that could be two figures is told as not sure; nothing is guessed. What is recorded here stays in memory "
    "until you keep it.",
)

RECORDING = "Recording. Count yourself in by even strokes, then play. Nothing is kept unless you say so."
READING = "One moment, it is being read."


def open_recording(context: Context, path: Path | None = None) -> "RecordingPage":
    """The page of recordings; with a file, which is read at once."""
    page = RecordingPage(context)
    if path:
        page.dropped(path)
    return page


class _Work:
    """A take on its way to being read, on a thread of its own: the window goes on meanwhile."""

    def __init__(self, source: Path | Recording, bar: Bar | None, tempo: float | None, counted: int, context: Context):
        self.found: RecordingRead | None = None
        self.fault = ""
        self.meter, self._figures = readable(context.level, bar)
        self._source, self._tempo, self._counted = source, tempo, counted
        # A daemon, so that a window that is closed meanwhile need not wait for it.
        self.thread = Thread(target=self._reads, daemon=True)
        self.thread.start()

    def _reads(self) -> None:
        try:
            take = self._source if isinstance(self._source, Recording) else load_take(self._source)
            others = other_figures(self._figures)
            self.found = read_recording(take, self._figures, self.meter.beats, self._tempo, self._counted, others)
        except UserError as error:
            self.fault = str(error)
        except MemoryError:
            self.fault = "the recording is too long for this machine's memory; cut it"


class RecordingPage(Screen):
    """Reads a recording: each bar's figures and how sure they are, timing and drift, against a count if one is given.

    A take is recorded here only on a key, and kept only on another.
    """

    def __init__(self, context: Context) -> None:
        super().__init__(context)
        self._path, self._count, self._tempo = (Edited.at_end("") for _ in range(3))
        self._counted = context.level.meter.beats
        self._file: Path | None = None
        self._made: Recording | None = None
        self._kept: Path | None = None
        self.work: _Work | None = None
        self.read: RecordingRead | None = None
        self._report: Report | None = None
        self._written: Bar | None = None
        self._told, self._fault = HOW, False
        self._chosen = 0
        # On a button, so that the keys shown on the page act at once.
        self.focus = "record"

    def heading(self) -> Heading:
        return Heading("A recording", self.context.level.title, self.context.player.name)

    @property
    def _recording(self) -> bool:
        return self.context.microphone.running

    def keys(self) -> Sequence[Key]:
        if self._recording:
            return (Key("r", "stop", self._stop_recording), Key("escape", "stop", self._stop_recording, shown=False))
        return (
            Key("r", "record", self._record),
            *((Key("space", "hear it", self._hear), Key("k", "keep it", self._keep)) if self._made else ()),
            *((Key("delete", "delete it", self._delete),) if self._made or self._kept else ()),
            *((Key("w", "write this bar", self._write),) if self.read else ()),
            Key("escape", "back", Pop),
        )

    def dropped(self, path: Path) -> Next:
        """A recording is read at once."""
        # A path may hold signs that no font has: what is shown is not what is opened.
        self._path, self._file, self._made, self._kept = Edited.at_end(shown(path)), path, None, None
        return self._begin_reading()

    def left(self) -> None:
        if self._recording:
            self.context.microphone.stop()
        self.context.sound.stop()

    def tick(self, now: float) -> list[Rect]:  # noqa: ARG002 - it waits for a thread
        if self.work and not self.work.thread.is_alive():
            work, self.work = self.work, None
            self._take_over(work)
        if self._recording:
            loudness = self.context.microphone.loudness()
            if not loudness.alive or self.context.microphone.seconds >= LONGEST_TAKE:
                self._stop_recording()
        return []

    # The page

    def body(self, look: Look, box: Rect) -> list[Widget]:
        told_high = look.height(self._told, box.w, "lead", True)
        file, how, told, found = rows(box, [look.u(TARGET), look.u(TARGET), told_high, None], look.u(12))
        path, read, record = columns(file, [None, look.u(200), look.u(240)], look.u(16))
        words = "Stop" if self._recording else "Record"
        return [
            TextField("path", path, look, self._path, self._write_path, self._begin_reading, "Where it is", 1000),
            Button("read", read, "Read it", self._begin_reading, main=not self.read),
            Button("record", record, words, self._stop_recording if self._recording else self._record, key="r"),
            *self._how(look, how),
            Label("told", told, self._told, "lead", bold=True, colour="warn" if self._fault else "ink", middle=True),
            *(self._found(look, found, self.read) if self.read else paragraphs(look, found, "about", ABOUT)),
        ]

    def _how(self, look: Look, box: Rect) -> list[Widget]:
        count, tempo, words, counted = columns(box, [None, look.u(200), look.u(110), look.u(360)], look.u(16))
        beats = self.context.level.meter.beats
        # A level in bars of two beats would offer 2 twice.
        options = dict.fromkeys((0, 2, beats, 2 * beats))
        named = tuple((number, str(number) if number else "none") for number in options)
        return [
            TextField("count", count, look, self._count, self._write_count, self._begin_reading,
                      "What was to be played, as a count", 200),
            TextField("tempo", tempo, look, self._tempo, self._write_tempo, self._begin_reading, "Tempo", 8),
            Label("counted words", words, "Count-in", middle=True),
            Choice("counted", counted, named, self._counted, self._choose_counted),
        ]  # fmt: skip

    def _found(self, look: Look, box: Rect, found: RecordingRead) -> list[Widget]:
        bars = self._bars(found)
        chosen = bars[self._chosen]
        shown = self.context.level.shown
        others = other_figures(readable(self.context.level, self._written)[1])
        said = [
            line for place, beat in enumerate(chosen, 1) for line in remarks(place, beat, self._written, shown, others)
        ]
        words = " ".join(f"{line[0].upper()}{line[1:]}." for line in said)
        high = look.height(words, box.w) if words else 1
        # Two bars of the list stay in sight.
        tall = min(look.u(330 if self._written else 220), box.h - high - look.u(2 * TARGET + 8))
        bar, remark, listed = rows(box, [tall, high, None], look.u(8))
        lines = [
            Row(f"Bar {number}: {bar_words(beats, shown)}", _sure(beats, self._written))
            for number, beats in enumerate(bars, 1)
        ]
        return [
            self._view(look, bar, found.reading, chosen),
            *([Label("remarks", remark, words, middle=True)] if words else []),
            ListBox("bars", listed, lines, self._chosen, self._choose, self._write, look.u(TARGET - 6)),
        ]

    def _view(self, look: Look, box: Rect, reading: Reading, beats: Sequence[ReadBeat]) -> TakeView:
        """The chosen bar over its timing, under what was to be played where that is given."""
        level, written = self.context.level, self._written
        meter, _ = readable(level, written)
        stalks = stalks_of(beats, lambda placed: self._place(reading, placed))
        return TakeView(
            "take", box, meter, spelled(level), written.figures if written else None,
            tuple(beat.figure for beat in beats), None, hands_of(beats), stalks, WORTH_A_WORD, str,
            look.u(LARGEST_SPACE),
        )  # fmt: skip

    def _place(self, reading: Reading, placed: Placed) -> float:
        """Where a stroke lies in the chosen bar, in beats."""
        meter, _ = readable(self.context.level, self._written)
        return place_in(reading, placed) - self._chosen * meter.beats

    def _bars(self, found: RecordingRead) -> list[tuple[ReadBeat, ...]]:
        meter, _ = readable(self.context.level, self._written)
        return list(found.reading.bars(meter.beats))

    # Reading

    def _begin_reading(self) -> Next:
        try:
            written = parse_bar(self._count.text) if self._count.text.strip() else None
            tempo = self._tempo_given()
            source: Path | Recording = self._made or self._named()
            self.work = _Work(source, written, tempo, self._counted, self.context)
        except UserError as error:
            self._tell(str(error), fault=True)
            return None
        self._written, self.read = written, None
        self._tell(READING)
        return None

    def _tempo_given(self) -> float | None:
        # Many languages write a decimal comma.
        text = self._tempo.text.strip().replace(",", ".")
        if not text:
            return None
        try:
            tempo = float(text)
        except ValueError:
            raise UserError(f"tempo {text}: give beats a minute, such as 80, or leave it empty") from None
        check_tempo(tempo)
        return tempo

    def _named(self) -> Path:
        if self._file:
            return self._file
        # A path that is copied from a file manager often comes in quotation marks.
        text = self._path.text.strip().strip("'\"")
        if not text:
            raise UserError("No recording is named: drop one here, write where it is, or record one.")
        try:
            return Path(text).expanduser()
        except RuntimeError:
            raise UserError(f"{text}: there is no such home folder; write the whole path") from None

    def _take_over(self, work: _Work) -> None:
        if work.found is None:
            self._tell(work.fault, fault=True)
            return
        self.read, self._chosen = work.found, 0
        reading, count_in = work.found.reading, work.found.count_in
        started = None if count_in.exact or not self._counted else 60 / count_in.beat
        self._report = report(reading, self._written, started=started, words=self.context.level.shown)
        bars = len(self._bars(work.found))
        drift = f" Drift {self._report.drift:+.1%}." if self._report.drift is not None else ""
        self._tell(
            f"{counted(bars, 'bar')} at {reading.tempo:.0f} a minute, strokes "
            f"{reading.spread * 1000:.0f} ms about their places.{drift} {self._report.sentence}"
        )
        self.focus = "bars"

    def _tell(self, words: str, fault: bool = False) -> None:
        self._told, self._fault, self.stale = words, fault, True

    # Recording

    def _record(self) -> Next:
        # Silent first: what still sounds would be recorded with the strokes.
        self.context.sound.open()
        self.context.sound.stop()
        try:
            self.context.microphone.start(self.context.settings.microphone)
        except MicrophoneError as error:
            self._tell(str(error), fault=True)
            return None
        self._made = self._kept = self.read = None
        self._tell(RECORDING)
        self.focus = "record"
        return None

    def _stop_recording(self) -> Next:
        microphone = self.context.microphone
        microphone.stop()
        samples = microphone.sound()
        peak = float(np.abs(samples).max(initial=0.0))
        words = loudness_words(peak)
        if len(samples) == 0 or words.startswith("Nothing"):
            self._tell(words, fault=True)
            return None
        self._made, self._file, self._path = Recording(samples), None, Edited.at_end("")
        more = "" if words == CLEAR else f" {words}"
        self._tell(f"Recorded {len(samples) / 48_000:.1f} s. Read it, hear it (Space), keep it (K) or delete it.{more}")
        self.focus = "read"
        return None

    def _hear(self) -> Next:
        if self._made:
            self.context.sound.replay(self._made.samples)
        return None

    def _keep(self) -> Next:
        """Write the take into the folder of takes, which is told."""
        if self._made is None:
            return None
        try:
            path = unused(made_folder(self.context.data_folder / FOLDER) / f"take-{day(self.context.now())}.wav")
            whole = (np.clip(self._made.samples, -1, 1) * 32_767).astype(np.int16)
            write_beside(path, wav_bytes(whole[:, None]))
        except (FileError, RecordsError) as error:
            self._tell(str(error), fault=True)
            return None
        self._kept = path
        self._tell(f"Kept as {shown_path(path)}; Delete removes it again.")
        return None

    def _delete(self) -> Next:
        """Let go of the take that was recorded here, and of the file that was kept of it."""
        kept, self._kept, self._made, self.read = self._kept, None, None, None
        try:
            if kept:
                kept.unlink(missing_ok=True)
        except OSError as error:
            self._kept = kept
            self._tell(f"{shown_path(kept)} can't be deleted: {error.strerror or error}" if kept else "", fault=True)
            return None
        self._tell("Deleted." if kept else "Let go of; nothing of it was kept.")
        self.focus = "record"
        return None

    # What is read, as files

    def _write(self) -> Next:
        """Write the chosen bar as a file of every kind."""
        if self.read is None:
            return None
        beats = self._bars(self.read)[self._chosen]
        figures = [beat.figure for beat in beats if beat.figure]
        # A rest is a figure too: fewer figures than beats means that one could not be read.
        if len(figures) < len(beats):
            self._tell("This bar has a beat that is not sure, so it is not written.", fault=True)
            return None
        meter, _ = readable(self.context.level, self._written)
        # Within the tempi that a setting may have: a reading can come out beyond.
        setting = replace(Setting(), tempo=min(400.0, max(20.0, self.read.reading.tempo)))
        bar = Bar(meter, tuple(figures))
        name = f"bar-{self._chosen + 1}-{day(self.context.now())}"
        try:
            folder = made_folder(self.context.data_folder / FOLDER)
            paths = [unused(folder / f"{name}{ending}") for ending in KINDS]
            write_piece(paths, Piece(bar, setting, arrange(bar, setting)))
        except (FileError, RecordsError) as error:
            self._tell(str(error), fault=True)
            return None
        self._tell(f"Written in six kinds: {shown_path(folder / name)}, with " + " ".join(KINDS))
        return None

    # Fields

    def _write_path(self, text: Edited) -> None:
        # Only when the text changes, not when the cursor moves: a take just made would be lost by a mere arrow.
        if text.text != self._path.text:
            self._made = self._file = None
        self._path = text

    def _write_count(self, text: Edited) -> None:
        self._count = text

    def _write_tempo(self, text: Edited) -> None:
        self._tempo = text

    def _choose_counted(self, number: int) -> None:
        self._counted = number

    def _choose(self, bar: int) -> None:
        self._chosen = bar


def _sure(beats: Sequence[ReadBeat], written: Bar | None) -> str:
    """How many beats of a bar are otherwise than written, or not sure; else how sure it is, as its least sure beat."""
    pairs = zip(beats, written.figures, strict=False) if written else ()
    if otherwise := sum(beat.figure not in (None, figure) for beat, figure in pairs):
        return f"{otherwise} otherwise"
    least = min(beat.certainty for beat in beats)
    unsure = sum(beat.figure is None for beat in beats)
    # Never 100 per cent: a reading is a guess, and says so.
    return f"{unsure} not sure" if unsure else f"sure, {min(0.99, least):.0%} at least"
