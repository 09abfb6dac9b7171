"""``drumlin write`` writes a bar as each kind of file, whole or not at all."""

import json
import wave
from fractions import Fraction
from pathlib import Path
from xml.etree import ElementTree

import mido
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from game.__main__ import main
from game.cli.outputs import KINDS, checked_outputs
from shared.counting import parse_bar
from shared.files import FileError
from shared.levels import vocabulary
from shared.orchestration import ORCHESTRATIONS

BAR = "1 e a 2 & 3 e a 4 & a"
KEYS = ["bar", "beat", "at", "seconds", "voice", "hand", "velocity", "figure"]


def told(drumlin, *words: str) -> dict:
    """What ``write --json`` prints beside writing a file."""
    return json.loads(drumlin("write", *words, "x.mid", "--json").out)


def sound(path: Path) -> np.ndarray:
    """A sound file's frames as (frames, 2) int16."""
    with wave.open(str(path)) as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (48000, 2, 2)
        return np.frombuffer(file.readframes(file.getnframes()), "<i2").reshape(-1, 2)


def test_every_kind_in_one_call(drumlin, tmp_path: Path) -> None:
    """Six files in one call, each beginning as its kind does, and nothing printed."""
    names = ["x.wav", "x.mid", "x.musicxml", "x.svg", "x.png", "x.PDF"]
    ending = drumlin("write", BAR, *names)
    assert (ending.code, ending.out, ending.err) == (0, "", "")
    heads = [(tmp_path / name).read_bytes()[:4] for name in names]
    assert heads == [b"RIFF", b"MThd", b"<?xm", b"<svg", b"\x89PNG", b"%PDF"]
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == sorted(names)


def test_strokes_in_json(drumlin) -> None:
    """Every stroke with its bar, beat, exact place and seconds: 60 / tempo seconds a beat."""
    played = told(drumlin, "1 e a 2 & (3) 4", "--tempo", "90")
    assert (played["tempo"], played["beat_seconds"], played["bars"]) == (90, pytest.approx(60 / 90), 2)
    assert all(list(stroke) == KEYS for stroke in played["strokes"])
    sticks = [stroke for stroke in played["strokes"] if not stroke["figure"]]
    assert [(stroke["bar"], stroke["beat"], stroke["voice"]) for stroke in sticks] == [
        (0, beat, "sticks") for beat in (1, 2, 3, 4)
    ]
    figures = [stroke for stroke in played["strokes"] if stroke["figure"]]
    assert [(stroke["bar"], stroke["beat"], stroke["at"]) for stroke in figures] == [
        (1, 1, "0"), (1, 1, "1/4"), (1, 1, "3/4"), (1, 2, "0"), (1, 2, "1/2"), (1, 4, "0"),
    ]  # fmt: skip
    for stroke in played["strokes"]:
        place = stroke["bar"] * 4 + stroke["beat"] - 1 + Fraction(stroke["at"])
        assert stroke["seconds"] == pytest.approx(float(place) * 60 / 90, abs=1e-12)
        assert 0 < stroke["velocity"] <= 1


def test_hands_in_json(drumlin) -> None:
    """Hands follow the natural sticking, for either hand (common practice, no source); sticks of a count-in none."""
    right = told(drumlin, "1 e a")["strokes"]
    left = told(drumlin, "1 e a", "--left-handed")["strokes"]
    assert [stroke["hand"] for stroke in right if stroke["figure"]] == ["R", "L", "L"]
    assert [stroke["hand"] for stroke in left if stroke["figure"]] == ["L", "R", "R"]
    assert {stroke["hand"] for stroke in right if not stroke["figure"]} == {None}


def test_first_sounding_beat_at_time_0(drumlin) -> None:
    """Without count-in and groove the figures' own bar begins at time 0; with them, they do."""
    plain = told(drumlin, BAR, "--no-count-in")
    assert plain["bars"] == 1
    assert (plain["strokes"][0]["seconds"], plain["strokes"][0]["figure"]) == (0.0, True)
    groove = told(drumlin, BAR, "--no-count-in", "--groove-bars", "2")
    assert groove["bars"] == 3
    assert (groove["strokes"][0]["seconds"], groove["strokes"][0]["figure"]) == (0.0, False)


def test_sound_begins_with_the_first_stroke(drumlin, tmp_path: Path) -> None:
    """The sound file's first stroke sounds at time 0, and a beat that begins silently is silent."""
    drumlin("write", "1 2", "x.wav", "--no-count-in", "--tempo", "60")
    drumlin("write", "(1) & 2", "y.wav", "--no-count-in", "--tempo", "60")
    assert np.abs(sound(tmp_path / "x.wav")[:240]).max() > 300
    late = sound(tmp_path / "y.wav")
    assert not late[:23_999].any()
    assert np.abs(late[24_000:24_240]).max() > 300


def test_swing_moves_the_off_beat(drumlin) -> None:
    """At two thirds swing the second quaver comes at two thirds of the beat."""
    strokes = told(drumlin, "1 & 2 &", "--swing", "66.66666666666667", "--no-count-in", "--tempo", "60")["strokes"]
    assert [stroke["seconds"] for stroke in strokes] == pytest.approx([0, 2 / 3, 1, 5 / 3])
    assert [stroke["at"] for stroke in strokes] == ["0", "1/2", "0", "1/2"]


def test_seed_settles_what_is_random(drumlin) -> None:
    """The same seed gives the same strokes, another seed others."""
    words = (BAR, "--orchestration", "toms")
    assert told(drumlin, *words, "--seed", "3") == told(drumlin, *words, "--seed", "3")
    assert any(told(drumlin, *words, "--seed", "3") != told(drumlin, *words, "--seed", str(seed)) for seed in (4, 5, 6))


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_every_orchestration(drumlin, tmp_path: Path, name: str) -> None:
    """Each way round the kit can be heard and seen."""
    assert drumlin("write", BAR, "x.mid", "x.svg", "--orchestration", name).code == 0
    ElementTree.parse(tmp_path / "x.svg")
    notes = [message for message in mido.MidiFile(tmp_path / "x.mid") if message.type == "note_on"]
    assert {message.channel for message in notes} == {9}


def test_a_kit_has_five_lines(drumlin, tmp_path: Path) -> None:
    """Round the kit a bar stands on the kit's staff, on the snare alone on one line."""
    drumlin("write", BAR, "line.svg")
    drumlin("write", BAR, "kit.svg", "--orchestration", "down-the-kit")
    assert heights(tmp_path / "kit.svg") > heights(tmp_path / "line.svg")


def heights(path: Path) -> int:
    """At how many heights an SVG has lines as long as half its width."""
    root = ElementTree.parse(path).getroot()
    wide = float(root.get("viewBox", "").split()[2]) / 2
    blocks = root.findall(".//{http://www.w3.org/2000/svg}rect")
    return len({block.get("y") for block in blocks if float(block.get("width", "0")) > wide})


def test_replaces_its_own_kind(drumlin, tmp_path: Path) -> None:
    """An older file of the same kind is replaced; so is an empty one."""
    (tmp_path / "x.mid").touch()
    assert drumlin("write", "1", "x.mid").code == 0
    before = (tmp_path / "x.mid").read_bytes()
    assert drumlin("write", "1 &", "x.mid").code == 0
    assert (tmp_path / "x.mid").read_bytes() != before


@pytest.mark.parametrize("ending", ["wav", "mid", "musicxml", "svg", "png", "pdf"])
def test_never_replaces_another_kind(drumlin, tmp_path: Path, ending: str) -> None:
    """A file that is not of the kind its ending says is not ours: refused, and left as it was."""
    (tmp_path / f"x.{ending}").write_text("rain on the millrace", encoding="utf-8")
    ended = drumlin("write", "1", f"x.{ending}")
    assert ended.code == 1
    assert ended.line.startswith(f"drumlin: x.{ending}: the file that is there is no ")
    assert ended.line.endswith("; choose another name")
    assert (tmp_path / f"x.{ending}").read_text(encoding="utf-8") == "rain on the millrace"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["1 e a 2 zz", "x.wav"], "character 9, 'zz': not a word of the count"),
        (["1", "x.wav", "--tempo", "401"], "tempo 401: choose from 20 to 400 beats a minute"),
        (["1", "x.wav", "--tempo", "inf"], "tempo inf: choose from 20 to 400 beats a minute"),
        (["1", "x.wav", "--orchestration", "snares"], "orchestration 'snares': choose from snare, down-the-kit"),
        (["1", "x.wav", "--groove-bars", "4"], "groove bars 4: choose from 0 to 3"),
        (["1", "x.wav", "--swing", "80"], "swing 80: choose from 50 (straight) to 75 per cent"),
        (["1", "x.ogg"], "x.ogg: files that end in .ogg are not written; choose from .wav, .mid, .musicxml"),
        (["1", "e", "a", "x.wav"], "e: this has no ending; choose from .wav, .mid, .musicxml, .svg, .png, .pdf, and"),
        (["1", "nowhere/x.wav"], "nowhere/x.wav: there is no folder nowhere; make it first"),
        (["1", "folder.wav"], "folder.wav: this is a folder; give the name of a file in it"),
        (["1", "x.wav", "x.wav"], "x.wav: this file is named twice; name each once"),
        (["1", "b.wav", "B.wav"], "B.wav: on some systems this is the same file as b.wav; choose another name"),
        (["1", "b\u00e9.wav", "be\u0301.wav"], "be\u0301.wav: on some systems this is the same file as b\u00e9.wav"),
        (["1", "x.wav", "folder.wav/../x.wav"], "folder.wav/../x.wav: on some systems this is the same file as x.wav"),
        (["1", "CON.wav"], "CON.wav: Windows keeps this name for a device; choose another name"),
        (["1", "a:b.wav"], "a:b.wav: Windows takes no file name with : in it; choose another name"),
        (["1", "x\0.wav"], "'x\\x00.wav': a file name cannot hold a zero character"),
        (["1", "n" * 300 + ".wav"], "n" * 300 + ".wav: "),
    ],
)
def test_refusals(drumlin, tmp_path: Path, words: list[str], said: str) -> None:
    """What can't be written is one line, and nothing is written: not even the good file named first."""
    (tmp_path / "folder.wav").mkdir()
    ending = drumlin("write", words[0], "good.mid", *words[1:])
    assert (ending.code, ending.out) == (1, "")
    assert ending.line.startswith(f"drumlin: {said}")
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == []


def _unmakeable(_: object) -> bytes:
    raise FileError("no page today")


def test_six_files_are_written_or_none(drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the last can't be made the others are not there either."""
    names = [f"x{ending}" for ending in KINDS]
    assert drumlin("write", "1", *names).code == 0
    assert {path.name for path in tmp_path.iterdir()} >= set(names)
    for name in names:
        (tmp_path / name).unlink()
    monkeypatch.setattr("game.engraving.pdf.pdf", _unmakeable)
    assert drumlin("write", "1", *names).code == 1
    assert [path.name for path in tmp_path.iterdir() if path.name in names or path.suffix == ".part"] == []


def test_a_read_only_folder(drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that may not be written to is named before anything is written."""
    monkeypatch.setattr("game.cli.outputs.os.access", lambda *_: False)
    ending = drumlin("write", "1", "x.wav")
    assert ending.line == "drumlin: x.wav: the folder . may not be written to; choose another"
    assert not (tmp_path / "x.wav").exists()


counts = st.lists(
    st.sampled_from([figure for figure in vocabulary().figures if not figure.compound]), min_size=4, max_size=4
).map(lambda figures: " ".join(figure.count_on(beat) for beat, figure in enumerate(figures, 1)))


@settings(max_examples=25, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(counts, st.sampled_from(list(ORCHESTRATIONS)), st.floats(20, 400))
def test_any_bar(tmp_path: Path, count: str, orchestration: str, tempo: float) -> None:
    """Any bar in any orchestration at any tempo becomes every light kind of file."""
    names = [str(tmp_path / name) for name in ("x.mid", "x.musicxml", "x.svg")]
    words = ["write", count, *names, "--meter", "4/4", "--orchestration", orchestration, "--tempo", repr(tempo)]
    assert main(words) == 0
    label = ElementTree.parse(names[2]).getroot().find("{http://www.w3.org/2000/svg}title")
    assert parse_bar(label.text).meter.name == "4/4"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(st.text(max_size=20) | st.text(max_size=20).map(lambda name: f"{name}.wav") | st.just("\udcff.wav"))
def test_any_name(name: str) -> None:
    """Any text for a file's name is a path in an existing folder or a refusal of one line."""
    try:
        (path,) = checked_outputs([name])
    except FileError as error:
        refused = str(error)
        assert len(refused.splitlines()) == 1
    else:
        assert path.parent.is_dir()
        assert path.suffix.lower() in KINDS
