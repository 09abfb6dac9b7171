"""``python -m tests.trade.kit_pictures FOLDER``: our hits beside recorded ones, for whoever has eyes and ears.

Six voices: a picture each, with the spectrogram of a recorded hit and of ours on both kits, and a page of all their
sounds with a bar of each groove.  Nothing of it is kept in the project.
"""

import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np
import pygame

from audio.kit import Bank
from audio.mixdown import mix
from audio.wav import wav_bytes
from shared.counting import parse_bar
from shared.grooves import GROOVES
from shared.orchestration import Setting, arrange
from tests.trade.kit_measure import DRUM_KITS
from tests.trade.kit_measures import RATE, Floats
from tests.trade.recorded_sets import HELD_OUT, SOFT, installed

SHOWN = ("kick", "snare", "ghost", "closed-hat", "ride", "floor-tom")
SECONDS, WINDOW, HOP = 0.6, 1024, 128
WIDE, HIGH, GAP = 420, 300, 12
LOWEST, HIGHEST = 40.0, 20_000.0
FLOOR_DB = 70.0


def picture_of(sound: Floats) -> pygame.Surface:
    """The spectrogram of 0.6 s: time to the right, 40 Hz to 20 kHz upward by octaves, 70 dB from white to black."""
    mono = np.pad(sound.mean(axis=1), (WINDOW // 2, WINDOW + round(SECONDS * RATE)))
    frames = np.lib.stride_tricks.sliding_window_view(mono, WINDOW)[: round(SECONDS * RATE) : HOP]
    power = np.abs(np.fft.rfft(frames * np.hanning(WINDOW), 4 * WINDOW, axis=1)) ** 2
    rows = np.geomspace(HIGHEST, LOWEST, HIGH) * 4 * WINDOW / RATE
    level = 10 * np.log10(power[:, rows.astype(int)] + 1e-12)
    grey = np.clip(255 * (level.max() - level) / FLOOR_DB, 0, 255).astype(np.uint8)
    columns = np.linspace(0, len(grey) - 1, WIDE).astype(int)
    return pygame.surfarray.make_surface(np.repeat(grey[columns][:, :, np.newaxis], 3, axis=2))


def hits(voice: str) -> Iterator[tuple[str, Floats]]:
    """A recorded hit that nothing was fitted to, and ours."""
    real = HELD_OUT[0].stroke(voice)
    if real is not None:
        yield "recorded", real
    for kit in DRUM_KITS:
        yield kit, Bank(kit).shot(voice, SOFT if voice == "ghost" else 0.8).samples / 32768


def write_sound(path: Path, sound: Floats) -> None:
    """A hit at a tenth under full scale, with a fifth of a second of silence before and after it."""
    loud = sound[: 3 * RATE] / np.abs(sound[: 3 * RATE]).max() * 0.9
    path.write_bytes(wav_bytes(np.rint(np.pad(loud, ((RATE // 5, RATE // 5), (0, 0))) * 32767).astype(np.int16)))


def main(words: Sequence[str]) -> int:
    """Write the pictures, the sounds and the page."""
    if len(words) != 1 or not installed():
        print("usage: python -m tests.trade.kit_pictures FOLDER, with both packages installed", file=sys.stderr)
        return 2
    folder = Path(words[0])
    folder.mkdir(parents=True, exist_ok=True)
    page = ["<!doctype html><meta charset=utf-8><title>Drum hits side by side</title>"]
    for voice in SHOWN:
        page += [f"<h2>{voice}</h2>", *_side_by_side(folder, voice)]
    for groove, row in GROOVES.items():
        page += [f"<h2>{groove}: {row.about}</h2>", *_bars(folder, groove)]
    (folder / "index.html").write_text("\n".join(page), "utf-8")
    print(folder / "index.html")
    return 0


def _side_by_side(folder: Path, voice: str) -> Iterator[str]:
    found = list(hits(voice))
    whole = pygame.Surface((len(found) * (WIDE + GAP), HIGH))
    whole.fill("steelblue")
    for place, (name, sound) in enumerate(found):
        whole.blit(picture_of(sound), (place * (WIDE + GAP), 0))
        write_sound(folder / f"{voice}-{name}.wav", sound)
        yield f"{name} <audio controls src='{voice}-{name}.wav'></audio>"
    pygame.image.save(whole, folder / f"{voice}.png")
    yield f"<br><img src='{voice}.png' alt='from left to right: {', '.join(name for name, _ in found)}'>"


def _bars(folder: Path, groove: str) -> Iterator[str]:
    for kit in DRUM_KITS:
        setting = Setting("fill-2", 96, 2, feel=0.5, groove=groove, landing=True, opening=True)
        sound = mix(arrange(parse_bar("1 2 3 e a 4 e & a"), setting), Bank(kit))
        (folder / f"{groove}-{kit}.wav").write_bytes(wav_bytes(sound))
        yield f"{kit} <audio controls src='{groove}-{kit}.wav'></audio>"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
