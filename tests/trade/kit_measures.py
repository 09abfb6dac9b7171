"""Twenty-six measures of a drum's stroke, and whether a kit lies where recorded sets lie."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
RATE = 48_000
HOP = RATE // 1000
"""Frames between two values of an envelope: a millisecond."""

OCTAVES = (125, 250, 500, 1000, 2000, 4000, 8000, 16_000)
SIZE = 1 << 13
THIRDS = 20.0 * 2 ** (np.arange(31) / 3)
"""The edges of 30 bands of a third of an octave, in Hz."""


@dataclass(frozen=True)
class Measure:
    """One property of a stroke: its name, its unit, whether it is a matter of ratios rather than of differences, and
    whether the voice's layers tell it.
    """

    name: str
    unit: str
    of: Callable[["Hit"], float]
    ratio: bool = False
    over_layers: bool = False

    def scaled(self, value: float) -> float:
        """The value on the scale on which sets are compared."""
        return float(np.log2(max(value, 1e-6))) if self.ratio else value


class Hit:
    """A stroke, and the layers of its voice from soft to hard: each (frames, 2)."""

    def __init__(self, stroke: Floats, layers: Sequence[Floats]) -> None:
        self.stereo = stroke
        self.mono = stroke.mean(axis=1)
        self.layers = [layer.mean(axis=1) for layer in layers]
        self._power: dict[tuple[float, float], tuple[Floats, Floats]] = {}

    @cached_property
    def envelope(self) -> Floats:
        """The level of the whole stroke: see ``envelope``."""
        return envelope(self.mono)

    @cached_property
    def octave_at_4_khz(self) -> Floats:
        """The part of the stroke around 4 kHz."""
        return octave(self.mono, 4000)

    def between(self, first: float, last: float) -> Floats:
        """The stroke in mono from ``first`` to ``last`` seconds."""
        return self.mono[round(first * RATE) : round(last * RATE)]

    def power(self, first: float, last: float) -> tuple[Floats, Floats]:
        """Frequencies in Hz and the power there, from ``first`` to ``last`` seconds."""
        key = first, last
        if key not in self._power:
            self._power[key] = power_of(self.between(first, last))
        return self._power[key]


def power_of(sound: Floats) -> tuple[Floats, Floats]:
    """Frequencies in Hz and the power there, above 20 Hz."""
    size = max(SIZE, 1 << max(1, sound.size - 1).bit_length())
    hertz = np.fft.rfftfreq(size, 1 / RATE)
    power = np.abs(np.fft.rfft(sound, size)) ** 2
    return hertz[hertz >= 20], power[hertz >= 20] + 1e-20


def envelope(sound: Floats) -> Floats:
    """The level in dB under its highest, one value a millisecond, over some 5 ms each."""
    power = np.add.reduceat(np.pad(sound, (0, 5 * HOP)) ** 2, np.arange(0, sound.size + 5 * HOP, HOP))
    power = np.convolve(power, np.hanning(7), "same")
    level: Floats = 10 * np.log10(power / power.max() + 1e-12)
    return level


def fall(decibels: float) -> Callable[[Hit], float]:
    """Milliseconds until the stroke stays below so many dB under its highest level; nothing if it never does."""

    def of(hit: Hit) -> float:
        above = np.flatnonzero(hit.envelope > -decibels)
        return float(above[-1] + 1) if above[-1] + 8 < hit.mono.size / HOP else np.nan

    return of


def rise(hit: Hit) -> float:
    """Milliseconds to the highest level."""
    return float(hit.envelope.argmax())


def octave(sound: Floats, centre: float) -> Floats:
    """The octave around a frequency, cut out of the spectrum with edges of a sixth of an octave."""
    size = 1 << (sound.size + RATE // 20 - 1).bit_length()
    apart = np.abs(np.log2(np.maximum(np.fft.rfftfreq(size, 1 / RATE), 1) / centre))
    weights = np.clip((0.5 - apart) * 6 + 0.5, 0, 1)
    part: Floats = np.fft.irfft(np.fft.rfft(sound, size) * weights, size)[: sound.size]
    return part


def t60(sound: Floats) -> float:
    """Seconds to fall by 60 dB, by backward integration from -5 to -25 dB (M. R. Schroeder, 1965)."""
    left = np.cumsum((sound**2)[::-1])[::-1]
    level = 10 * np.log10(left / left[0] + 1e-12)
    return 3 * float(np.argmax(level < -25) - np.argmax(level < -5)) / RATE


def bloom(hit: Hit) -> float:
    """Milliseconds until the octave at 4 kHz is at its strongest."""
    return 1 + float(envelope(hit.octave_at_4_khz).argmax())


def centroid(first: float, last: float) -> Callable[[Hit], float]:
    """The mean frequency weighted by power, in Hz, between two times in seconds; none if the sound is over."""

    def of(hit: Hit) -> float:
        if hit.mono.size < (first + 0.01) * RATE:
            return np.nan
        hertz, power = hit.power(first, last)
        return float(hertz @ power / power.sum())

    return of


def rolloff(hit: Hit) -> float:
    """The frequency, in Hz, below which lies 85 % of the power."""
    hertz, power = hit.power(0, 0.4)
    return float(hertz[np.argmax(np.cumsum(power) > 0.85 * power.sum())])


def share_of(centre: float) -> Callable[[Hit], float]:
    """The power of an octave under that of the whole, in dB."""

    def of(hit: Hit) -> float:
        hertz, power = hit.power(0, 0.4)
        inside = (hertz > centre / np.sqrt(2)) & (hertz < centre * np.sqrt(2))
        return float(10 * np.log10(power[inside].sum() / power.sum()))

    return of


def flatness(hit: Hit) -> float:
    """Geometric over arithmetic mean of the power from 200 Hz to 15 kHz, in bands of 47 Hz: 1 for white noise."""
    hertz, power = hit.power(0, 0.4)
    wide = np.add.reduceat(power, np.arange(0, power.size, max(1, round(47 / (hertz[1] - hertz[0])))))
    middle = np.linspace(0, RATE / 2, wide.size)
    inside = wide[(middle > 200) & (middle < 15_000)]
    return float(np.exp(np.log(inside).mean()) / inside.mean())


def crest(hit: Hit) -> float:
    """The peak over the effective value of the first tenth of a second, in dB."""
    first = hit.between(0, 0.1)
    return float(20 * np.log10(np.abs(first).max() / np.sqrt(np.sum(first**2) / (0.1 * RATE))))


def correlation(hit: Hit) -> float:
    """How alike left and right are over the first 0.4 s: 1 the same but for level; none for a sound in mono."""
    left, right = hit.stereo[: round(0.4 * RATE)].T
    if np.array_equal(left, right):
        return np.nan
    return float(left @ right / np.sqrt((left @ left) * (right @ right)))


def thirds(sound: Floats) -> Floats:
    """The level in each third of an octave of the first 0.3 s, to 60 dB under the strongest, the mean taken off."""
    hertz, power = power_of(sound[: round(0.3 * RATE)])
    bands = np.bincount(np.searchsorted(THIRDS, hertz), power, THIRDS.size + 1)[1:-1]
    level = np.maximum(10 * np.log10(bands / bands.max() + 1e-12), -60)
    centred: Floats = level - level.mean()
    return centred


def unlikeness(hit: Hit) -> float:
    """The distance of neighbouring layers in the third octaves, in dB, their level left out."""
    if len(hit.layers) < 3:
        return np.nan
    spectra = [thirds(layer) for layer in hit.layers]
    return float(np.mean([np.sqrt(np.mean((a - b) ** 2)) for a, b in pairwise(spectra)]))


def brightening(hit: Hit) -> float:
    """Octaves by which the centroid of the first tenth of a second rises with each 10 dB of level."""
    if len(hit.layers) < 3:
        return np.nan
    first = [layer[: RATE // 10] for layer in hit.layers]
    levels = np.array([10 * np.log10(np.mean(sound**2)) for sound in first])
    if np.ptp(levels) < 6:
        return np.nan
    centres = [np.log2(hertz @ power / power.sum()) for hertz, power in map(power_of, first)]
    return float(10 * np.polyfit(levels, centres, 1)[0])


MEASURES = (
    Measure("highest after", "ms", rise),
    *(Measure(f"to -{db} dB", "ms", fall(db), ratio=True) for db in (10, 20, 40)),
    Measure("T60", "s", lambda hit: t60(hit.mono), ratio=True),
    Measure("T60 at 500 Hz", "s", lambda hit: t60(octave(hit.mono, 500)), ratio=True),
    Measure("T60 at 4 kHz", "s", lambda hit: t60(hit.octave_at_4_khz), ratio=True),
    Measure("4 kHz highest after", "ms", bloom, ratio=True),
    *(
        Measure(f"centroid {round(first * 1000)}-{round(last * 1000)} ms", "Hz", centroid(first, last), ratio=True)
        for first, last in ((0, 0.02), (0.02, 0.06), (0.06, 0.15), (0.15, 0.4))
    ),
    Measure("roll-off", "Hz", rolloff, ratio=True),
    *(Measure(f"octave at {centre} Hz", "dB", share_of(centre)) for centre in OCTAVES),
    Measure("flatness", "", flatness, ratio=True),
    Measure("crest", "dB", crest),
    Measure("left and right alike", "", correlation),
    Measure("layers apart", "dB", unlikeness, over_layers=True),
    Measure("brightening", "octaves/10 dB", brightening, over_layers=True),
)


def measured(stroke: Floats, layers: Sequence[Floats], measures: Sequence[Measure] = MEASURES) -> Floats:
    """These measures of a stroke, ``nan`` where it has none."""
    hit = Hit(stroke, layers)
    return np.array([measure.of(hit) for measure in measures])


def judge(values: Floats, others: Floats) -> tuple[Floats, Floats]:
    """Which of the values (measures,) lie outside the range of the others (sets, measures), and how far off they are.

    ``nan`` where there is nothing to compare.
    """
    least, most = np.nanmin(others, axis=0), np.nanmax(others, axis=0)
    apart = np.abs(values - np.nanmean(others, axis=0)) / np.maximum(np.nanstd(others, axis=0, ddof=1), 1e-9)
    outside = ((values < least) | (values > most)).astype(float)
    unknown = np.isnan(values) | (np.sum(~np.isnan(others), axis=0) < 2)
    outside[unknown] = apart[unknown] = np.nan
    return outside, np.minimum(apart, 10)
