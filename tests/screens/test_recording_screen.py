"""A recording on the page: dropped, named or made, read beside the window, kept only when the player says so."""

from dataclasses import replace
from pathlib import Path

import mido
import numpy as np
import pytest

from audio.wav import passage_wav
from game.screens.home.home import Home
from game.screens.playing.recording import RecordingPage, open_recording
from game.sessions.playing.recorded import place_in
from game.widgets.moves import Pop
from game.widgets.take import TakeView
from shared.counting import parse_bar
from shared.orchestration import Setting, arrange
from tests.screens.test_playing_screen import with_microphone
from tests.screens.window import Window

BAR = "1 & 2 e & 3 & a 4"


def midi(path: Path, bars: int = 2, tempo: float = 80.0, slower: float = 0.0) -> Path:
    """A player's take: four strokes of count-in, then the bar so many times, each beat longer by a share."""
    file, track = mido.MidiFile(), mido.MidiTrack()
    file.tracks.append(track)
    bar, now, beat = parse_bar(BAR), 0.0, 60 / tempo
    places = [float(k) for k in range(4)]
    places += [4 + 4 * k + beat_ + float(at) for k in range(bars) for beat_, at in bar.onsets()]
    rng = np.random.default_rng(4)
    for place in places:
        at = beat * place * (1 + slower * place / 8) + float(rng.normal(0, 0.006))
        ticks = round(mido.second2tick(max(0.0, at - now), 480, 500_000))
        now += mido.tick2second(ticks, 480, 500_000)
        track.append(mido.Message("note_on", note=38, velocity=90, time=ticks))
    file.save(path)
    return path


@pytest.fixture
def page(window: Window) -> Window:
    window.show(open_recording(window.context), Home(window.context))
    return window


def read_through(window: Window) -> None:
    """Let the thread come to its end, and the page take it over."""
    if window.top.work:
        window.top.work.thread.join(30)
    window.frames(2)


def test_a_dropped_file_is_read(window: Window, tmp_path: Path) -> None:
    """On the first page a recording opens its page; its bars stand there as counts and notation, with timing."""
    window.show(Home(window.context))
    window.app.follow(window.top.dropped(midi(tmp_path / "take.mid")))
    read_through(window)
    assert isinstance(window.top, RecordingPage)
    assert f"Bar 1: {BAR}" in window.texts()
    assert f"Bar 2: {BAR}" in window.texts()
    assert "2 bars at 80 a minute" in window.texts()
    assert "take" in window.names()


def test_a_take_against_a_count(page: Window, tmp_path: Path) -> None:
    """Each beat that was played otherwise is named; a written name does as well as a dropped file."""
    page.top.set_focus("path")
    page.write(str(midi(tmp_path / "take.mid", 1)))
    page.fill_in("count", "1 & 2 & 3 & a 4")
    page.press("return")
    read_through(page)
    assert "Beat 2 was 2 e &, written is 2 &." in page.texts()
    assert "You played 2 e &; written is 2 &." in page.texts()


def test_drift_is_told(page: Window, tmp_path: Path) -> None:
    """A player who gets slower by some per cent is told so."""
    page.top.dropped(midi(tmp_path / "take.mid", 4, slower=0.02))
    read_through(page)
    assert "Drift -" in page.texts()


@pytest.mark.parametrize("name", ["nothing.wav", "words.mid", ".", "a\udc80b.wav"])
def test_bad_files_have_one_line(page: Window, tmp_path: Path, name: str) -> None:
    """A file that is not there, is none, or has no name that could be: one line, no figure."""
    (tmp_path / "words.mid").write_text("rain on the millrace", encoding="utf-8")
    page.top.dropped(tmp_path / name)
    read_through(page)
    assert page.widget("told").colour == "warn"
    assert "\n" not in page.widget("told").text
    assert "bars" not in page.names()


def test_a_tempo_that_is_none(page: Window, tmp_path: Path) -> None:
    """It is told before anything is read."""
    page.fill_in("tempo", "quick")
    page.top.dropped(midi(tmp_path / "take.mid"))
    page.frames()
    assert page.widget("told").colour == "warn"
    assert "tempo quick" in page.widget("told").text


def test_the_bar_is_written_in_every_kind(page: Window, tmp_path: Path) -> None:
    """What was read is written as sound, MIDI, score, drawing, picture and page, into the folder that is told."""
    page.top.dropped(midi(tmp_path / "take.mid", 1))
    read_through(page)
    page.press("w")
    folder = page.context.data_folder / "takes"
    assert sorted(path.suffix for path in folder.iterdir()) == [".mid", ".musicxml", ".pdf", ".png", ".svg", ".wav"]
    assert "takes" in page.texts()


def recorded(window: Window) -> None:
    """Record a bar on the page, counted in by clicks."""
    room = with_microphone(window.context)
    passage = arrange(parse_bar(BAR), Setting("snare", 80, click=True))
    sound = np.frombuffer(passage_wav(passage)[44:], np.int16).reshape(-1, 2).mean(1) / 32_768
    window.top.set_focus("record")
    window.press("r")
    assert window.context.microphone.running
    room.hear(np.concatenate([np.zeros(4_800), sound, np.zeros(24_000)]))
    window.press("r")


def test_a_take_is_recorded_and_kept_only_when_asked(page: Window) -> None:
    """It is read and heard without being kept; kept, its file is told; one key deletes it again."""
    recorded(page)
    folder = page.context.data_folder / "takes"
    assert not folder.exists()
    assert "Recorded " in page.texts()
    assert "hear it (Space)" in page.texts()
    page.press("space")
    assert len(page.device.played) == 1
    page.press("return")
    read_through(page)
    assert f"Bar 1: {BAR}" in page.texts()
    page.press("k")
    (kept,) = folder.iterdir()
    assert kept.name in page.texts()
    page.press("delete")
    assert list(folder.iterdir()) == []
    assert "Deleted." in page.texts()


def test_a_silent_or_refused_microphone(page: Window) -> None:
    """Both are told, and there is nothing to keep."""
    room = with_microphone(page.context)
    room.refused = "access denied"
    page.top.set_focus("record")
    page.press("r")
    assert "access denied" in page.texts()
    room.refused = ""
    page.press("r")
    room.hear(np.zeros(48_000))
    page.press("r")
    assert "Nothing comes in" in page.texts()
    assert "keep it" not in page.texts().splitlines()


def test_leaving_ends_the_recording(page: Window) -> None:
    """No microphone stays open behind another page."""
    with_microphone(page.context)
    page.top.set_focus("record")
    page.press("r")
    page.app.follow(Pop())
    assert not page.context.microphone.running


def test_bars_of_another_meter_are_drawn_in_theirs(page: Window, tmp_path: Path) -> None:
    """Against a count in three the bars have three beats."""
    page.fill_in("count", "1 & 2 e & 3 & a")
    page.top.dropped(midi(tmp_path / "take.mid", 1))
    read_through(page)
    (view,) = (widget for widget in page.top.widgets if isinstance(widget, TakeView))
    assert view.meter.beats == 3


@pytest.mark.parametrize("count", ["", BAR])
def test_timing_stands_under_the_bar(page: Window, tmp_path: Path, count: str) -> None:
    """Each stroke of the chosen bar stands over a ruler as early or late, whether a count was written or not."""
    page.fill_in("count", count)
    page.top.dropped(midi(tmp_path / "take.mid", 2))
    read_through(page)
    (view,) = (widget for widget in page.top.widgets if isinstance(widget, TakeView))
    assert [stalk.place for stalk in view.stalks] == [float(beat + at) for beat, at in parse_bar(BAR).onsets()]
    assert all(stalk.late is not None and abs(stalk.late) < 0.03 for stalk in view.stalks)
    assert ("Written" in page.texts()) == bool(count)
    assert "Timing" in page.texts()


def test_a_stroke_without_a_place_lies_where_it_came(page: Window, tmp_path: Path) -> None:
    """It is reckoned from the nearest stroke that has a place, so that a tempo that changes does no harm."""
    page.top.dropped(midi(tmp_path / "take.mid", 2, slower=0.02))
    read_through(page)
    reading = page.top.read.reading
    for number, beat in enumerate(reading.beats):
        for placed in beat.strokes:
            assert placed.at is not None
            assert placed.late is not None
            alone = replace(placed, stroke=replace(placed.stroke, seconds=placed.stroke.seconds + 0.1))
            moved = place_in(reading, alone) - number - float(placed.at)
            assert moved == pytest.approx((0.1 + placed.late) * reading.tempo / 60, abs=0.06)
