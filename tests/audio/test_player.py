"""The player: at once, in place, never past its end, and alive when a device goes."""

from collections.abc import Iterator
from functools import partial
from pathlib import Path

import numpy as np
import pygame
import pytest
from numpy.typing import NDArray

from audio.outputs import MixerOutput, NoDeviceError, Output, SilentOutput
from audio.player import QUIET_START, ClosedPlayerError, SoundPlayer, open_player

SECOND = np.full((48_000, 2), 1000, np.int16)


class Deck:
    """An output whose clock a test turns; it remembers what it was given."""

    def __init__(self) -> None:
        self.started: list[NDArray[np.int16]] = []
        self.now = 0.0
        self.closed = False

    def start(self, samples: NDArray[np.int16]) -> None:
        self.started.append(samples)
        self.now = 0.0

    def go_on(self, samples: NDArray[np.int16], first: int) -> None:
        self.started.append(samples)
        self.now -= first / 48_000

    def elapsed(self) -> float:
        return self.now

    def stop(self) -> None:
        assert not self.closed

    def close(self) -> None:
        self.closed = True


class Clock:
    """Seconds that pass when a test says so."""

    now = 100.0

    def __call__(self) -> float:
        return self.now


@pytest.fixture
def deck() -> Deck:
    return Deck()


@pytest.fixture
def player(deck: Deck) -> SoundPlayer:
    return player_on(deck)


def player_on(deck: Deck, *others: Output) -> SoundPlayer:
    """A player on a deck; when that one is lost it finds ``others``, then nothing."""
    return SoundPlayer(deck, partial(reopened, list(others)), lambda: SilentOutput(Clock()))


def reopened(left: list[Output]) -> Output:
    """The first of the devices that are there."""
    if not left:
        raise NoDeviceError("nothing there")
    return left.pop(0)


def test_playhead_follows_the_output(player: SoundPlayer, deck: Deck) -> None:
    """Where the sound is, is what the output has played."""
    player.play(SECOND)
    deck.now = 0.25
    assert player.position() == pytest.approx(0.25)
    assert player.playing


def test_start_is_counted_in(player: SoundPlayer, deck: Deck) -> None:
    """Played from the middle, the playhead counts from the start of the samples."""
    player.play(SECOND, start=0.6)
    deck.now = 0.1
    assert deck.started[0].shape == (19_200, 2)
    assert player.position() == pytest.approx(0.7)


def test_playhead_never_runs_back(player: SoundPlayer, deck: Deck) -> None:
    """A clock that jitters does not make the picture jump back."""
    player.play(SECOND)
    deck.now = 0.50
    player.position()
    deck.now = 0.49
    assert player.position() == pytest.approx(0.50)


def test_a_sound_goes_on_as_another(player: SoundPlayer, deck: Deck) -> None:
    """The playhead stays with what is heard, in the times of the new samples, wherever the old ones were begun."""
    player.play(SECOND, start=0.4)
    deck.now = 0.5
    player.go_on(SECOND, first=0.6)
    assert player.position() == pytest.approx(0.3)
    deck.now += 0.6
    assert player.position() == pytest.approx(0.9)
    deck.now += 0.2
    assert player.position() is None
    player.go_on(SECOND, first=0.6)
    assert player.position() == 0.0


def test_replay_starts_the_playhead_anew(player: SoundPlayer, deck: Deck) -> None:
    """Each play has a playhead of its own."""
    player.play(SECOND)
    deck.now = 0.9
    player.position()
    player.play(SECOND)
    assert player.position() == 0.0


def test_playhead_is_gone_at_the_end(player: SoundPlayer, deck: Deck) -> None:
    """After the last sample nothing plays."""
    player.play(SECOND)
    deck.now = 1.0
    assert player.position() is None
    assert not player.playing


def test_latency_holds_the_playhead_back(player: SoundPlayer, deck: Deck) -> None:
    """What is mixed now is heard later, to the very end of the sound."""
    player.latency = 0.2
    player.play(SECOND)
    deck.now = 0.1
    assert player.position() == 0.0
    deck.now = 0.5
    assert player.position() == pytest.approx(0.3)
    deck.now = 1.1
    assert player.position() == pytest.approx(0.9)
    deck.now = 1.2
    assert player.position() is None


def test_stop_is_at_once(player: SoundPlayer) -> None:
    """After a stop nothing plays, and a second stop does no harm."""
    player.play(SECOND)
    player.stop()
    player.stop()
    assert player.position() is None


def test_volume_scales_what_is_played(player: SoundPlayer, deck: Deck) -> None:
    """The volume turns samples down; the samples given stay as they were."""
    player.volume = -6.0206
    player.play(SECOND)
    assert deck.started[0][0, 0] == 500
    assert SECOND[0, 0] == 1000


def test_nothing_to_play_is_no_sound(player: SoundPlayer, deck: Deck) -> None:
    """No samples, or a start past their end, play nothing."""
    player.play(SECOND[:0])
    player.play(SECOND, start=1.5)
    assert not deck.started
    assert not player.playing


@pytest.mark.parametrize(
    "samples",
    [SECOND.astype(np.float32), SECOND[:, 0], np.zeros((10, 1), np.int16), SECOND[::2], SECOND.T],
    ids=["floats", "flat", "one channel", "with gaps", "channels first"],
)
def test_wrong_samples_are_refused(player: SoundPlayer, samples: NDArray[np.int16]) -> None:
    """What a mixer would turn into noise is refused with what it is and what is wanted."""
    with pytest.raises(ValueError, match=r"the player takes \(frames, 2\) int16, C-contiguous"):
        player.play(samples)


@pytest.mark.parametrize("start", [-0.1, float("nan")])
def test_impossible_start_is_refused(player: SoundPlayer, start: float) -> None:
    """A start before the beginning is no start."""
    with pytest.raises(ValueError, match="choose 0 or more"):
        player.play(SECOND, start)


def test_closed_player_refuses(player: SoundPlayer, deck: Deck) -> None:
    """After close the mixer is never touched again: playing raises, the rest does nothing."""
    player.play(SECOND)
    player.close()
    player.close()
    player.stop()
    assert deck.closed
    assert player.position() is None
    assert not player.handle_event(removed())
    with pytest.raises(ClosedPlayerError, match="this player is closed; open another"):
        player.play(SECOND)


def removed(which: int = 2, *, iscapture: bool = False) -> pygame.event.Event:
    return pygame.event.Event(pygame.AUDIODEVICEREMOVED, which=which, iscapture=iscapture)


def added() -> pygame.event.Event:
    return pygame.event.Event(pygame.AUDIODEVICEADDED, which=0, iscapture=False)


def test_sound_moves_to_another_device(deck: Deck) -> None:
    """When the device goes and another one is there, the sound goes on there from where it was."""
    other = Deck()
    player = player_on(deck, other)
    player.play(SECOND)
    deck.now = 0.75
    assert player.handle_event(removed())
    assert deck.closed
    assert other.started[0].shape == (12_000, 2)
    assert player.position() == pytest.approx(0.75)
    assert player.notice is None


def test_lost_device_is_said_once(deck: Deck) -> None:
    """When the device goes and nothing takes its place, time goes on in silence and the player is told."""
    player = player_on(deck)
    player.play(SECOND)
    assert player.handle_event(removed())
    assert player.silent
    assert player.playing
    assert player.notice == (
        "The sound device is gone (nothing there). Everything goes on in silence; plug one in to hear it."
    )
    assert not player.handle_event(removed())


def test_device_that_comes_back_is_used(deck: Deck) -> None:
    """A device plugged in while the stand-in keeps time takes over, and the notice goes."""
    back: list[Output] = []
    player = SoundPlayer(deck, partial(reopened, back), lambda: SilentOutput(Clock()))
    player.handle_event(removed())
    back.append(Deck())
    assert player.handle_event(added())
    assert not player.silent
    assert player.notice is None


@pytest.mark.parametrize(
    "event",
    [removed(iscapture=True), removed(which=0), added(), pygame.event.Event(pygame.KEYDOWN, key=pygame.K_a)],
    ids=["microphone", "another device", "one more device", "key"],
)
def test_other_events_are_left_alone(player: SoundPlayer, deck: Deck, event: pygame.event.Event) -> None:
    """Only the loss of the open device, and an arrival in silence, concern the player."""
    assert not player.handle_event(event)
    assert not deck.closed


@pytest.fixture
def driver(monkeypatch: pytest.MonkeyPatch) -> Iterator[pytest.MonkeyPatch]:
    """The environment in which a mixer opens; closed again afterwards."""
    pygame.mixer.quit()
    yield monkeypatch
    pygame.mixer.quit()


def test_mixer_opens_as_wanted(driver: pytest.MonkeyPatch) -> None:
    """Whatever was open before, the mixer runs at 48 kHz, 16 bits, two channels."""
    driver.setenv("SDL_AUDIODRIVER", "dummy")
    pygame.mixer.init(22_050, -16, 1)
    player = open_player()
    assert not player.silent
    assert pygame.mixer.get_init() == (48_000, -16, 2)
    player.play(SECOND)
    player.play(SECOND, 0.5)
    assert player.playing
    player.close()
    assert pygame.mixer.get_init() is None


def test_first_start_is_quiet(driver: pytest.MonkeyPatch) -> None:
    """Unless told otherwise, a player begins at -12 dB."""
    driver.setenv("SDL_AUDIODRIVER", "dummy")
    player = open_player()
    assert player.volume == QUIET_START == -12.0
    player.close()


def test_no_device_is_said_plainly(driver: pytest.MonkeyPatch) -> None:
    """Without a device a silent stand-in keeps time by the clock it is given, and says what is missing."""
    driver.setenv("SDL_AUDIODRIVER", "none-such")
    clock = Clock()
    player = open_player(clock=clock)
    assert player.silent
    assert player.notice is not None
    assert player.notice.startswith("No sound device was found (")
    assert player.notice.endswith("Everything works, in silence; plug one in to hear it.")
    assert "\n" not in player.notice
    player.play(SECOND)
    clock.now += 0.5
    assert player.position() == pytest.approx(0.5)
    clock.now += 0.6
    assert player.position() is None


def test_arrival_without_a_device_stays_silent(driver: pytest.MonkeyPatch) -> None:
    """An arrival that cannot be opened leaves the stand-in and its notice in place."""
    driver.setenv("SDL_AUDIODRIVER", "none-such")
    player = open_player()
    assert not player.handle_event(added())
    assert player.silent
    assert player.notice is not None


def test_a_device_that_cannot_be_opened_is_not_tried_for_ever(driver: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Each attempt announces the devices there are: that must not bring on another attempt in every frame."""
    driver.setenv("SDL_AUDIODRIVER", "disk")
    # A folder is no file to write sound to: the device is there, and refuses.
    driver.setenv("SDL_DISKAUDIOFILE", str(tmp_path))
    pygame.display.init()
    player = open_player()
    came = 0
    for _ in range(20):
        for event in pygame.event.get(pygame.AUDIODEVICEADDED):
            came += 1
            player.handle_event(event)
    assert player.silent
    assert came < 6


def test_mixer_output_needs_a_device(driver: pytest.MonkeyPatch) -> None:
    """Without a device the mixer's own output says so."""
    driver.setenv("SDL_AUDIODRIVER", "none-such")
    with pytest.raises(NoDeviceError):
        MixerOutput()
