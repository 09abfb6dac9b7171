"""Trying what is played on: one stroke of each hand tells them apart."""

from game.sessions.inputs import DRUMS, Input, InputDevice
from game.sessions.playing.trial import Trial


def test_two_pads_are_two_hands() -> None:
    """The first stroke is the left hand's, the second the right's; later strokes are named."""
    trial = Trial()
    assert trial.words() == "Strike once with your left hand."
    trial = trial.struck("38")
    assert trial.words() == "Good. Now once with your right hand."
    trial = trial.struck("43")
    assert trial.hands == {"38": "L", "43": "R"}
    assert trial.words().endswith("Last: right hand.")
    assert trial.struck("38").words().endswith("Last: left hand.")
    assert trial.struck("51").words().endswith("Last: another pad.")


def test_one_pad_has_no_hands() -> None:
    """Both hands on one pad can't be told apart, and nothing is made up."""
    trial = Trial().struck("38").struck("38")
    assert trial.done
    assert trial.hands == {}
    assert "can't be told apart" in trial.words()


def test_what_is_a_stroke() -> None:
    """Of the keyboard the two chosen keys alone; of pads every note, by hand and drum."""
    keys = InputDevice("keys", "dk", {"d": "L", "k": "R"})
    assert keys.plays(Input("keys", "d", 1.0))
    assert not keys.plays(Input("keys", "f", 1.0))
    assert not keys.plays(Input("pads", "38", 1.0))
    pads = InputDevice("pads", "Reed pad", {"38": "L"})
    stroke = pads.stroke(Input("pads", "42", 3.0, 0.5), 2.0)
    assert (stroke.seconds, stroke.hand, stroke.drum, stroke.velocity) == (1.0, None, "closed-hat", 0.5)


def test_notes_are_those_of_general_midi() -> None:
    """Snare 38, closed hi-hat 42, bass drum 36 (General MIDI 1, percussion map, channel 10)."""
    assert (DRUMS["38"], DRUMS["42"], DRUMS["36"]) == ("snare", "closed-hat", "kick")
