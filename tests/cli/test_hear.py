"""``drumlin hear``: a file of playing becomes bars of figures, and a bad one becomes a line."""

import json
import struct
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile
from mido import Message, MetaMessage, MidiFile, MidiTrack

from game.__main__ import main
from tests.sampling import some

BAR = "1 e a 2 & 3 e & a 4 & a"
Told = Callable[..., tuple[int, str, str]]


@pytest.fixture
def drumlin(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Told:
    """Run a command in a folder of its own: exit code, output, what was said."""
    monkeypatch.chdir(tmp_path)

    def run(*words: str) -> tuple[int, str, str]:
        code = main([*words, "--data-dir", "data"] if words[0] == "hear" else list(words))
        out, err = capsys.readouterr()
        return code, out, err

    return run


@pytest.fixture(scope="module")
def written(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The bar as sound, for whoever changes nothing in it."""
    path = tmp_path_factory.mktemp("written") / "bar.wav"
    assert main(["write", BAR, str(path)]) == 0
    return path


def counts(out: str) -> list[list[str | None]]:
    return [[beat["count"] for beat in bar["beats"]] for bar in json.loads(out)["bars"]]


@pytest.mark.parametrize(
    ("orchestration", "ending"), some(2, ["snare", "down-the-kit", "toms", "hands", "accents"], ["wav", "mid"])
)
def test_a_written_bar_is_heard(drumlin: Told, ending: str, orchestration: str) -> None:
    """What ``write`` writes, ``hear`` reads, to the place, round the kit too where one drum plays at a time."""
    drumlin("write", BAR, f"bar.{ending}", "--tempo", "84", "--orchestration", orchestration)
    code, out, _ = drumlin("hear", f"bar.{ending}", "--tempo", "84", "--count-in", "4", "--json")
    assert code == 0
    assert counts(out) == [["1 e a", "2 &", "3 e & a", "4 & a"]]
    found = json.loads(out)
    assert set(found) == {"tempo", "offset", "spread", "bars"}
    assert found["tempo"] == pytest.approx(84, abs=0.1)
    assert abs(found["offset"]) < 0.003
    assert found["spread"] < 0.01
    first = found["bars"][0]["beats"][0]
    assert set(first) == {"beat", "count", "certainty", "strokes"}
    assert [stroke["at"] for stroke in first["strokes"]] == ["0", "1/4", "3/4"]
    assert all(abs(stroke["late"]) < 0.003 for stroke in first["strokes"])
    assert all(set(stroke) == {"at", "late", "hand"} for stroke in first["strokes"])


@pytest.mark.parametrize(
    ("kind", "rate", "subtype"),
    [
        ("WAV", 8_000, "PCM_U8"),
        ("FLAC", 192_000, None),
        ("OGG", 44_100, None),
        ("MP3", 44_100, None),
        *(
            pytest.param(kind, rate, None, marks=pytest.mark.long)
            for kind, rate in (
                ("WAV", 8_000), ("WAV", 44_100), ("WAV", 192_000), ("FLAC", 8_000), ("FLAC", 44_100), ("OGG", 8_000),
                ("MP3", 8_000),
            )
        ),
    ],
)  # fmt: skip
def test_every_kind_of_sound_is_heard(
    drumlin: Told, written: Path, kind: str, rate: int, subtype: str | None, tmp_path: Path
) -> None:
    """WAV, FLAC, OGG and MP3, at low and at high rates, in eight bits too where there are any."""
    samples, was = soundfile.read(written)
    places = np.arange(int(len(samples) * rate / was)) * was / rate
    mono = np.interp(places, np.arange(len(samples)), samples.mean(1))
    soundfile.write(tmp_path / "other", mono, rate, format=kind, subtype=subtype)
    code, out, err = drumlin("hear", "other", "--tempo", "80", "--json")
    assert (code, err) == (0, "")
    assert counts(out) == [["1 e a", "2 &", "3 e & a", "4 & a"]]


def test_the_count_in_gives_the_tempo(drumlin: Told) -> None:
    """Without ``--tempo`` the count-in says it; with another one the file is not read at the wrong speed."""
    drumlin("write", BAR, "bar.wav", "--tempo", "92")
    assert counts(drumlin("hear", "bar.wav", "--json")[1]) == [["1 e a", "2 &", "3 e & a", "4 & a"]]
    code, out, err = drumlin("hear", "bar.wav", "--tempo", "80")
    assert (code, out) == (1, "")
    assert err == "drumlin: the count-in goes at 92 beats a minute, not 80; give --tempo 92\n"


def test_no_count_in_begins_where_the_file_does(drumlin: Told) -> None:
    """With ``--count-in 0`` the first beat is at the beginning, and the tempo must be given."""
    drumlin("write", BAR, "bar.wav", "--no-count-in", "--tempo", "70")
    code, out, _ = drumlin("hear", "bar.wav", "--count-in", "0", "--tempo", "70", "--json")
    assert (code, counts(out)) == (0, [["1 e a", "2 &", "3 e & a", "4 & a"]])
    assert "give --tempo" in drumlin("hear", "bar.wav", "--count-in", "0")[2]


def test_compound_beats_are_heard(drumlin: Told) -> None:
    """A level or a count in dotted crotchets says what beats there are."""
    drumlin("write", "1 la li 2 ta la li", "bar.mid", "--tempo", "60")
    code, out, _ = drumlin("hear", "bar.mid", "1 la li 2 li", "--json")
    assert (code, counts(out)) == (0, [["1 la li", "2 ta la li"]])


def test_it_is_held_against_the_count(drumlin: Told, written: Path) -> None:
    """Beat by beat it is said what was played otherwise; what was not, is not spoken of."""
    _, out, _ = drumlin("hear", str(written), "1 e a 2 & 3 e & a 4 a")
    assert "Bar 1: 1 e a 2 & 3 e & a 4 & a" in out
    assert "beat 4 was 4 & a, written is 4 a" in out
    assert out.count("written is") == 1


def test_a_figure_that_the_level_lacks_is_not_passed_off_as_one_it_has(drumlin: Told) -> None:
    """``1 e a`` and ``3 trip let``, of which level 3 knows nothing, are told as what they are: none of the level's."""
    drumlin("write", "1 e a 2 & 3 trip let 4 e & a", "bar.mid")
    _, out, _ = drumlin("hear", "bar.mid", "--level", "stage-3")
    assert "Bar 1: 1 e a 2 & 3 trip let 4 e & a" in out
    assert "beat 1 is 1 e a, which is none of the level's figures" in out
    assert "beat 3 is 3 trip let, which is none of the level's figures" in out
    assert out.count("none of the level's") == 2
    assert "lacks" not in out


def test_what_was_heard_is_written(drumlin: Told, tmp_path: Path) -> None:
    """The bar can be written as every file that ``write`` knows, and several bars each to its own."""
    drumlin("write", BAR, "bar.mid")
    names = [f"out.{ending}" for ending in ("wav", "mid", "musicxml", "svg", "png", "pdf")]
    options = [word for name in names for word in ("--write", name)]
    assert drumlin("hear", "bar.mid", *options)[0] == 0
    assert all((tmp_path / name).stat().st_size > 100 for name in names)
    assert counts(drumlin("hear", "out.mid", "--json")[1]) == counts(drumlin("hear", "bar.mid", "--json")[1])
    two_bars(tmp_path / "two.mid")
    assert drumlin("hear", "two.mid", "--write", "part.mid")[0] == 0
    assert {path.name for path in tmp_path.glob("part*")} == {"part-1.mid", "part-2.mid"}


def two_bars(path: Path) -> None:
    notes_at(path, [*range(4), *(4 + k / 2 for k in range(16))])


def notes_at(path: Path, beats: list[float], extra: list[Message | MetaMessage] | None = None) -> None:
    """A MIDI file at 80 a minute with a stroke at each of these beats, and whatever else."""
    track = MidiTrack([MetaMessage("set_tempo", tempo=750_000), *(extra or [])])
    now = 0
    for beat in sorted(beats):
        tick = round(beat * 480)
        track.append(Message("note_on", channel=9, note=38, velocity=90, time=tick - now))
        now = tick
    file = MidiFile(type=0, ticks_per_beat=480)
    file.tracks.append(track)
    file.save(path)


def test_stuck_notes_and_other_messages_do_no_harm(drumlin: Told, tmp_path: Path) -> None:
    """Notes that never end, pedals, pressure and a flood of controllers are no strokes."""
    flood: list[Message | MetaMessage] = [
        Message("control_change", channel=9, control=4, value=k % 128) for k in range(5_000)
    ]
    flood += [Message("aftertouch", channel=9, value=5), Message("note_on", channel=9, note=40, velocity=0)]
    notes_at(tmp_path / "stuck.mid", [0, 1, 2, 3, 4, 4.5, 5, 6, 7, 7.75], flood)
    code, out, _ = drumlin("hear", "stuck.mid", "--json")
    assert (code, counts(out)) == (0, [["1 &", "2", "3", "4 a"]])


def sound(path: Path, samples: np.ndarray, rate: int = 48_000) -> None:
    soundfile.write(path, samples, rate, format="WAV")


def bad_files(folder: Path) -> dict[str, str]:
    """A name for each bad file, and a word that its line must have."""
    rng = np.random.default_rng(0)
    (folder / "empty.wav").write_bytes(b"")
    (folder / "letter.txt").write_text("no sound at all")
    sound(folder / "silence.wav", np.zeros(96_000))
    sound(folder / "no-frames.wav", np.zeros(0))
    sound(folder / "noise.wav", rng.normal(0, 0.1, 120_000))
    sound(folder / "hum.wav", 0.3 * np.sin(np.arange(120_000) * 2 * np.pi * 50 / 48_000))
    soundfile.write(folder / "good.flac", rng.normal(0, 0.1, 48_000), 48_000)
    soundfile.write(folder / "good.ogg", rng.normal(0, 0.1, 48_000), 48_000)
    flac, ogg = (folder / "good.flac").read_bytes(), (folder / "good.ogg").read_bytes()
    (folder / "cut.flac").write_bytes(flac[:30])
    (folder / "cut.ogg").write_bytes(ogg[:40])
    (folder / "cut.wav").write_bytes(b"RIFF\x24\0\0\0WAVEfmt ")
    (folder / "cut.mp3").write_bytes(b"\xff\xfb\x90\x64" + bytes(200))
    (folder / "id3.mp3").write_bytes(b"ID3\x04\0\0\0\0\x7f\x7f")
    (folder / "cut.mid").write_bytes(b"MThd\0\0\0\6\0\0\0\1\1\xe0MTrk\0\0\0\x20\0\x90")
    (folder / "head.mid").write_bytes(b"MThd")
    (folder / "smpte.mid").write_bytes(b"MThd" + struct.pack(">IHHh", 6, 0, 1, -6360) + b"MTrk\0\0\0\4\0\xff\x2f\0")
    (folder / "no-notes.mid").write_bytes(b"MThd" + struct.pack(">IHHh", 6, 0, 1, 480) + b"MTrk\0\0\0\4\0\xff\x2f\0")
    notes_at(folder / "hours.mid", [0, 1, 2, 3, 50_000])
    form = b"fmt \x10\0\0\0" + struct.pack("<HHIIHH", 1, 1, 48_000, 96_000, 2, 16)
    long = b"RIFF\xff\xff\xff\xffWAVE" + form + b"data\xff\xff\xff\xff"
    with (folder / "hours.wav").open("wb") as file:
        file.write(long)
        file.truncate(36_000 * 96_000)
    (folder / "hours.flac").write_bytes(flac[:18] + ((48_000 << 44) | (36_000 * 48_000)).to_bytes(8, "big") + flac[26:])
    (folder / "a-folder.wav").mkdir()
    return {
        "missing.wav": "no such file", "empty.wav": "empty", "letter.txt": "no WAV, FLAC, OGG, MP3 or MIDI",
        "silence.wav": "silent", "no-frames.wav": "", "noise.wav": "strokes", "hum.wav": "strokes",
        "cut.flac": "damaged", "cut.ogg": "damaged", "cut.wav": "damaged", "cut.mp3": "", "id3.mp3": "damaged",
        "cut.mid": "damaged", "head.mid": "damaged", "smpte.mid": "SMPTE", "no-notes.mid": "no notes",
        "hours.mid": "h ", "hours.wav": "10 h 0 min", "hours.flac": "10 h 0 min", "a-folder.wav": "no file",
    }  # fmt: skip


def test_bad_files_get_one_line(drumlin: Told, tmp_path: Path) -> None:
    """Whatever is wrong with a file: exit code 1, one line that says what and where, nothing made up, and soon."""
    for name, word in bad_files(tmp_path).items():
        began = time.process_time()
        code, out, err = drumlin("hear", name, "--tempo", "80")
        assert (code, out) == (1, ""), name
        assert err.startswith("drumlin: "), name
        assert err.count("\n") == 1, name
        assert word in err, (name, err)
        assert "inside Drumlin" not in err, (name, err)
        assert time.process_time() - began < 5, name


@pytest.mark.parametrize(
    ("words", "line"),
    [
        (["bar.mid", "1 zz"], "not a word of the count"),
        (["bar.mid", "--tempo", "1000"], "choose from 20 to 400"),
        (["bar.mid", "--count-in", "60"], "of the 60 strokes of its count-in"),
        (["bar.mid", "--count-in", "8"], "no even count-in"),
        (["bar.mid", "--level", "stage-99"], "there is none of that name"),
        (["bar.mid", "1 la li 2", "--level", "stage-4"], "choose one of the same kind of beat"),
        (["bar.mid", "--write", "take.mp3"], "are not written"),
    ],
)
def test_wrong_options_get_one_line(drumlin: Told, words: list[str], line: str) -> None:
    """An option that cannot be met is refused in one line."""
    drumlin("write", BAR, "bar.mid")
    code, out, err = drumlin("hear", *words)
    assert (code, out, err.count("\n")) == (1, "", 1)
    assert line in err


def test_a_bar_that_is_not_sure_is_not_written(drumlin: Told, tmp_path: Path) -> None:
    """Half-way between two figures neither is told, and no file makes one up."""
    notes_at(tmp_path / "between.mid", [0, 1, 2, 3, 4, 5, 6, 7, 7 + 17 / 24])
    assert counts(drumlin("hear", "between.mid", "--json")[1]) == [["1", "2", "3", None]]
    assert "beat 4 is not sure: 4 " in drumlin("hear", "between.mid")[1]
    code, _, err = drumlin("hear", "between.mid", "--write", "bar.svg")
    assert (code, err) == (1, "drumlin: bar 1 is not written: beat 4 is not sure; record it again\n")
    assert not (tmp_path / "bar.svg").exists()
