"""The page of devices: what is played on is chosen and tried, and comes back when it is plugged in again."""

import numpy as np

from game.screens.playing.devices import open_devices
from tests.screens.test_playing_screen import with_microphone
from tests.screens.window import Window
from tests.stand_ins import Kit


def test_pads_are_tried_by_hand(window: Window) -> None:
    """One stroke of each hand tells the pads apart, and is kept."""
    kit = Kit(["Reed pad", "Fen kit"])
    window.context.pads = kit.pads
    window.show(open_devices(window.context))
    window.press("right")
    assert window.context.settings.play_on == "pads"
    assert window.context.settings.pads == "Reed pad"
    assert "Strike once with your left hand." in window.texts()
    kit.strike(43)
    window.frames()
    kit.strike(38)
    window.frames()
    assert "Both hands are known. Last: right hand." in window.texts()
    assert window.context.settings.pad_hands == {"43": "L", "38": "R"}
    window.press("escape")
    assert not window.context.pads.ready


def test_pads_that_are_plugged_in_later(window: Window) -> None:
    """The page looks for them by itself every two seconds."""
    kit = Kit([])
    window.context.pads = kit.pads
    window.context.change_settings(play_on="pads")
    window.show(open_devices(window.context))
    assert "No pads are found." in window.texts()
    kit.plugged = ["Reed pad"]
    window.frames(130)
    assert "Strike once with your left hand." in window.texts()


def test_pads_that_another_program_holds(window: Window) -> None:
    """It is told which, and what to do."""
    kit = Kit(held=True)
    window.context.pads = kit.pads
    window.context.change_settings(play_on="pads")
    window.show(open_devices(window.context))
    assert "Reed pad can't be opened: another program may hold it." in window.texts()


def test_a_microphone_is_tried(window: Window) -> None:
    """Strokes are counted, how loud they are is said, and a lost microphone is told."""
    room = with_microphone(window.context)
    window.show(open_devices(window.context))
    assert room.opened == [""]
    for _ in range(3):
        room.hear(np.r_[np.full(480, 0.4), np.zeros(480)])
        window.frames(2)
        window.frames(40)
        room.hear(np.zeros(480))
    assert "Heard 3 times. Good and clear." in window.texts()
    room.now += 2
    window.frames()
    assert "sends nothing any more" in window.texts()
    room.refused = "busy"
    window.press("r")
    assert "(busy)" in window.texts()


def test_keys_are_tried(window: Window) -> None:
    """Either hand's key is named; another pair can be chosen."""
    window.show(open_devices(window.context))
    window.press("f", "j", "f")
    assert "Last: left hand." in window.texts()
    window.top.set_focus("hand keys")
    window.press("right")
    assert window.context.settings.hand_keys == "dk"
    assert window.context.instrument.hands == {"d": "L", "k": "R"}
