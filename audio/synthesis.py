"""Synthesis of struck sounds after physical models: decaying partials that glide, and decaying bands of noise."""

from dataclasses import dataclass, replace
from math import factorial
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from numpy.random import Generator  # numpy loads it when first asked for it: not where every hit is kept already

RATE = 48_000
"""Samples a second, everywhere in the program."""

Samples = NDArray[np.float32]

MEMBRANE = {
    (0, 1): 1.0,
    (1, 1): 1.593341,
    (2, 1): 2.135549,
    (0, 2): 2.295417,
    (3, 1): 2.653066,
    (1, 2): 2.917295,
    (4, 1): 3.155464,
    (2, 2): 3.500147,
    (0, 3): 3.598485,
    (5, 1): 3.647451,
}
"""Frequencies of an ideal round membrane by (nodal diameters, nodal circles), the lowest mode being 1.

Ratios of Bessel-function zeros: Fletcher & Rossing, The Physics of Musical Instruments, chapter 3.
"""

LOWEST_ZERO = 2.404826
"""The first zero of the Bessel function of order 0, which belongs to the lowest mode."""

KNOTS = np.geomspace(20.0, RATE / 2, 96)
"""The frequencies, in Hz, between which a band's magnitude runs straight."""

DECAY_60_DB = float(np.log(1000.0))
"""The exponent of a decay by 60 dB, a factor of 1,000 in amplitude."""

BLOOMING = 0.9
"""The share of a band's amplitude that a band with ``bloom`` lacks when the stick lands."""


@dataclass(frozen=True)
class Partials:
    """Sines that start together and decay each at its own rate.

    ``hertz``, ``amplitudes`` and ``t60`` (seconds to fall by 60 dB) have one entry a partial.  The
    pitch starts ``glide + glide_growth * velocity`` above its rest, as a share, and settles with the
    time constant ``glide_seconds``, as a stretched head does.  ``tilt`` is how many dB an octave
    the upper partials gain from the softest to the hardest stroke.  ``spread`` is how far, as a
    share, a partial is detuned from hit to hit (standard deviation); ``scatter`` the same for its
    strength, the energy of the hit staying as it is.  ``in_phase`` is false for metal, whose partials start anyhow.
    Where ``modes`` names the mode of each partial, the ``amplitudes`` are those of a stroke at ``strike``, a share
    of the head's radius; from hit to hit the place moves by ``wander`` (standard deviation) and the modes with it.
    """

    hertz: tuple[float, ...]
    amplitudes: tuple[float, ...]
    t60: tuple[float, ...]
    glide: float = 0.0
    glide_growth: float = 0.0
    glide_seconds: float = 0.03
    tilt: float = 0.0
    spread: float = 0.002
    scatter: float = 0.2
    in_phase: bool = True
    modes: tuple[tuple[int, int], ...] = ()
    strike: float = 0.3
    wander: float = 0.0

    def sound(self, rng: "Generator", velocity: float, t: Samples) -> Samples:
        """The sum of the partials at the times ``t`` (seconds), for one hit."""
        count = len(self.hertz)
        hertz = np.asarray(self.hertz) * (1 + self.spread * rng.standard_normal(count))
        strength = self._scattered(rng) * 10 ** (self.tilt * (velocity - 0.8) * np.log2(hertz / hertz[0]) / 20)
        phases = np.zeros(count) if self.in_phase else rng.uniform(0, 2 * np.pi, count)
        glide = (self.glide + self.glide_growth * velocity) * (1 + 0.08 * rng.standard_normal())
        warped = self._warped(t, np.float32(glide))
        total = np.zeros_like(t)
        # A partial is worked out down to 75 dB (5/4 of the time for 60): the rest would cost time and is not heard.
        for frequency, amplitude, phase, t60 in zip(hertz, strength, phases, self.t60, strict=True):
            audible = t[: int(1.25 * t60 * RATE)]
            angle = np.float32(2 * np.pi * frequency) * warped[: audible.size] + np.float32(phase)
            total[: audible.size] += np.float32(amplitude) * np.sin(angle) * decay(audible, t60)
        return total

    def _scattered(self, rng: "Generator") -> NDArray[np.float64]:
        """The amplitudes as one hit has them: another place on the head, the same energy."""
        usual = np.asarray(self.amplitudes)
        strength = usual * (1 + self.scatter * rng.standard_normal(usual.size)) * self._place(rng)
        # A decaying sine carries energy in proportion to its squared amplitude times its decay time.
        scattered: NDArray[np.float64] = strength * np.sqrt(usual**2 @ self.t60 / (strength**2 @ self.t60))
        return scattered

    def _place(self, rng: "Generator") -> NDArray[np.float64]:
        """The factor on each mode for the place of this hit: the mode's shape there over its shape at ``strike``."""
        if not self.modes:
            return np.ones(len(self.hertz))
        place = abs(self.strike + self.wander * rng.standard_normal())
        shapes = [[abs(mode_shape(mode, at)) for mode in self.modes] for at in (min(place, 0.9), self.strike)]
        # 0.05 on both sides, and the bounds, since a mode that has a knot there would come out at 0 or without end.
        gained: NDArray[np.float64] = np.clip((np.array(shapes[0]) + 0.05) / (np.array(shapes[1]) + 0.05), 0.25, 4)
        return gained

    def _warped(self, t: Samples, glide: np.float32) -> Samples:
        if not glide:
            return t
        constant = np.float32(self.glide_seconds)
        # The integral of 1 + glide * exp(-t / constant), since a phase is the sum of the frequencies gone through.
        warped: Samples = t + glide * constant * (1 - np.exp(-t / constant))
        return warped

    def scaled(self, pitch: float = 1.0, ring: float = 1.0) -> "Partials":
        """The same partials tuned and damped by the given factors."""
        return replace(
            self, hertz=tuple(pitch * hz for hz in self.hertz), t60=tuple(ring * seconds for seconds in self.t60)
        )


def membrane(fundamental: float, modes: dict[tuple[int, int], tuple[float, float]], **others: float) -> Partials:
    """The partials of a round head, from (amplitude, T60 in seconds) by mode; ``others`` are fields of ``Partials``.

    The lowest mode lies at ``fundamental`` Hz.
    """
    amplitudes, t60 = zip(*modes.values(), strict=True)
    hertz = tuple(fundamental * MEMBRANE[mode] for mode in modes)
    return replace(Partials(hertz, amplitudes, t60, modes=tuple(modes)), **others)  # type: ignore[arg-type]


def mode_shape(mode: tuple[int, int], radius: float) -> float:
    """How far an ideal membrane moves in a mode at a radius from 0 (centre) to 1 (rim).

    The Bessel function of the mode's order, J_m(x) = sum over k of (-1)^k (x/2)^(2k+m) / (k! (k+m)!), at the radius
    times its n-th zero (Fletcher & Rossing, The Physics of Musical Instruments, chapter 3).
    """
    order, x = mode[0], radius * LOWEST_ZERO * MEMBRANE[mode]
    terms = ((-1.0) ** k * (x / 2) ** (2 * k + order) / (factorial(k) * factorial(k + order)) for k in range(20))
    return float(sum(terms))


@dataclass(frozen=True)
class Noise:
    """A band of noise from ``low`` to ``high`` Hz that decays exponentially.

    ``level`` is its strength in dB at velocity 0 and ``growth`` what velocity 1 adds; ``t60`` and
    ``t60_growth`` say the same of its decay, in seconds.  Outside the band it falls by ``slope`` dB
    an octave.  ``bloom`` is the time constant, in seconds, in which the band comes up after the stroke: wires
    that the head throws back, metal that hands its energy on from below.
    """

    low: float
    high: float
    level: float
    t60: float
    growth: float = 0.0
    t60_growth: float = 0.0
    slope: float = 18.0
    bloom: float = 0.0

    def amplitude(self, velocity: float) -> float:
        """The effective value at the start of a stroke."""
        return float(10 ** ((self.level + self.growth * velocity) / 20))

    def weights(self, hertz: NDArray[np.float64]) -> Samples:
        """The magnitude of the band at each frequency."""
        octaves = np.log2(KNOTS)
        outside = np.maximum(np.log2(self.low) - octaves, octaves - np.log2(self.high)).clip(0)
        weights: Samples = np.interp(hertz, KNOTS, 10 ** (-self.slope * outside / 20)).astype(np.float32)
        return weights

    def decay_time(self, velocity: float) -> float:
        """T60 in seconds."""
        return self.t60 + self.t60_growth * velocity

    def scaled(self, ring: float) -> "Noise":
        """The same band damped by a factor."""
        return replace(self, t60=self.t60 * ring, t60_growth=self.t60_growth * ring)


def noise(rng: "Generator", velocity: float, bands: tuple[Noise, ...], t: Samples) -> Samples:
    """One burst of noise, its bands decaying each at its own rate, at the times ``t`` (seconds)."""
    total = np.zeros_like(t)
    longest = max((_longest(band, t) for band in bands), default=0)
    # Random real and imaginary parts are a white spectrum already: a band then takes no forward transform.
    spectrum = rng.standard_normal(fast_size(longest) + 2, dtype=np.float32).view(np.complex64)
    for band in bands:
        audible = t[: int(1.25 * band.decay_time(velocity) * RATE)]
        fall = decay(audible, band.decay_time(velocity))
        if band.bloom:
            fall *= 1 - np.float32(BLOOMING) * np.exp(audible * np.float32(-1 / band.bloom))
        burst = _burst(spectrum, band, audible.size, _longest(band, t)) * fall
        # Chance makes short bursts strong or weak: what a band's level says, its energy obeys.
        burst *= np.float32(band.amplitude(velocity)) * np.sqrt((fall @ fall) / (burst @ burst))
        total[: audible.size] += burst
    return total


def _longest(band: Noise, t: Samples) -> int:
    """The samples of a band at its longest: one count for all velocities, so that the noise is the same, too."""
    return min(t.size, round(1.25 * band.decay_time(1.0) * RATE))


def _burst(spectrum: NDArray[np.complex64], band: Noise, count: int, longest: int) -> Samples:
    """Steady noise in a band, from as much of a white spectrum as it takes."""
    size = fast_size(longest)
    hertz = np.fft.rfftfreq(size, 1 / RATE).astype(np.float64)
    shaped = spectrum[: hertz.size] * band.weights(hertz)
    burst: Samples = np.fft.irfft(shaped, size)[:count].astype(np.float32)
    return burst


def decay(t: Samples, t60: float) -> Samples:
    """The envelope that falls by 60 dB in ``t60`` seconds."""
    envelope: Samples = np.exp(np.float32(-DECAY_60_DB / t60) * t)
    return envelope


def times(seconds: float) -> Samples:
    """The sample times of so many seconds, the first one a sample after the stroke: there it can be heard."""
    return np.arange(1, round(seconds * RATE) + 1, dtype=np.float32) / np.float32(RATE)


def fast_size(count: int) -> int:
    """The least length, a power of two or three quarters of one, that holds ``count`` samples."""
    # Lengths with small prime factors transform quickest; three quarters of a power of two are 3 times a smaller one.
    power: int = 1 << max(4, (count - 1).bit_length())
    return 3 * power // 4 if 3 * power // 4 >= count else power


def faded(sound: Samples, rise: float) -> Samples:
    """The sound with its first ``rise`` seconds eased in and the last seventh of it eased out."""
    start, end = min(sound.size, round(rise * RATE)), sound.size // 7
    # From a seventh of its strength, not from nothing: the stroke must be there with its first sample.
    sound[:start] *= np.sin(np.linspace(0.15, np.pi / 2, start, dtype=np.float32))
    sound[sound.size - end :] *= np.linspace(1, 0, end, dtype=np.float32) ** 2
    return sound
