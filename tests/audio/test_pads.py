"""MIDI pads: which messages are strokes, and pads that come and go."""

import os
import sys

import pytest

from audio import pads as module
from audio.pads import Pads, PortMidi
from tests.stand_ins import Kit


@pytest.fixture
def kit() -> Kit:
    return Kit()


@pytest.fixture
def pads(kit: Kit) -> Pads:
    found = kit.pads
    assert found.use("Reed pad")
    return found


def test_only_a_note_on_is_a_stroke(kit: Kit, pads: Pads) -> None:
    """Clock, sensing, aftertouch, pedals, programs and ends of notes are none (MIDI 1.0 specification, table I)."""
    others = [0x80, 0xA0, 0xB0, 0xC0, 0xD0, 0xE0, 0xF0, 0xF8, 0xFE]
    kit.waiting += [(status, 38, 100, 0.0) for status in others]
    kit.waiting += [(0x99, 38, 0, 0.0), (0x90, 40, 127, 0.004), (0x9F, 38, 1, 0.0)]
    assert [(hit.note, round(hit.velocity, 3), hit.age) for hit in pads.hits(1.0)] == [
        (40, 1.0, 0.004),
        (38, 0.008, 0.0),
    ]


def test_a_double_trigger_is_one_stroke(kit: Kit, pads: Pads) -> None:
    """The same note within 30 ms is the pad's doing; another note is a flam or another pad."""
    for age in (0.1, 0.08, 0.05):
        kit.strike(38, age=age)
    kit.strike(40, age=0.05)
    assert [hit.age for hit in pads.hits(1.0)] == [0.1, 0.05, 0.05]


def test_a_flood_of_clock_hides_no_stroke(kit: Kit, pads: Pads) -> None:
    """Ten thousand clock messages before and after leave the stroke."""
    kit.waiting += [(0xF8, 0, 0, 0.0)] * 10_000
    kit.strike(38)
    kit.waiting += [(0xF8, 0, 0, 0.0)] * 10_000
    assert [hit.note for hit in pads.hits(1.0)] == [38]


def test_a_stuck_note_is_struck_again(kit: Kit, pads: Pads) -> None:
    """A note whose end never came counts each time it begins."""
    kit.waiting += [(0x99, 38, 90, 0.4), (0x99, 38, 90, 0.2)]
    assert len(pads.hits(1.0)) == 2


def test_pads_come_back(kit: Kit, pads: Pads) -> None:
    """Pads that fail in mid-take give nothing more; plugged in again they are opened by their name."""
    kit.broken = True
    assert pads.hits(1.0) == []
    assert not pads.ready
    kit.plugged = []
    assert not pads.use("Reed pad")
    kit.broken, kit.plugged = False, ["Fen pad", "Reed pad"]
    assert pads.names() == ("Fen pad", "Reed pad")
    assert pads.ready
    kit.strike(38)
    assert len(pads.hits(2.0)) == 1


def test_what_was_struck_before_it_was_opened_is_no_stroke(kit: Kit, pads: Pads) -> None:
    """Opening anew lets go of what waited."""
    kit.strike(38)
    pads.use("Reed pad")
    assert pads.hits(1.0) == []


def test_pads_that_another_program_holds(kit: Kit) -> None:
    """They are named and can't be opened."""
    kit.held = True
    pads = kit.pads
    assert pads.names() == ("Reed pad",)
    assert not pads.use("Reed pad")


def test_this_machine_is_asked_without_an_error(monkeypatch: pytest.MonkeyPatch) -> None:
    """On Linux ALSA's files are looked for where distributions have them, unless the player says otherwise."""
    monkeypatch.delenv("ALSA_CONFIG_DIR", raising=False)
    monkeypatch.delenv("ALSA_CONFIG_PATH", raising=False)
    found = PortMidi()
    assert found.open("no such pad") is None or sys.platform != "linux"
    assert all(isinstance(name, str) for name in found.inputs())
    if sys.platform == "linux" and module.ALSA.is_dir():
        assert os.environ["ALSA_CONFIG_DIR"] == str(module.ALSA)
