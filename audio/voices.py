"""The voices of the practice kit: the partials and noise bands of each instrument.

Decays, glides and bands follow the physics of struck membranes and plates (Fletcher & Rossing, The
Physics of Musical Instruments, chapters 18 to 20).  The numbers were fitted to what 26 measures say of five recorded
sets and judged by four others (``tests/trade/kit_measure.py``), then held to what an ear must find in a bar.
"""

from dataclasses import dataclass, replace

import numpy as np

from audio.synthesis import Noise, Partials, Samples, faded, membrane, noise, times
from shared.instruments import CLICKS

SNARE_PAIR = (186.0, 329.0)
"""The coupled modes of the two heads, in Hz (T. D. Rossing and others, Acoustics of snare drums, 1992)."""

ROUNDING = 0.6
"""The highest peak of a hit, full scale 1."""


@dataclass(frozen=True)
class Voice:
    """One instrument: partials and noise.

    ``seconds`` is the length of the longest hit, ``gain`` its level in dB, ``pan`` its place from -1
    (left) to 1 (right), ``rise`` the time, in seconds, in which a hit sets in, ``room`` how much of it,
    in dB, reaches the room, ``dynamics`` the power of the velocity that its loudness follows, and ``width`` how much
    of it, as a factor, comes back from the sides: one upside down to the other, so that it is gone in mono.
    """

    seconds: float
    partials: tuple[Partials, ...] = ()
    bands: tuple[Noise, ...] = ()
    gain: float = 0.0
    pan: float = 0.0
    rise: float = 0.0005
    room: float = -14.0
    dynamics: float = 1.3
    width: float = 0.0

    def hit(self, rng: np.random.Generator, velocity: float) -> Samples:
        """One hit at a velocity from 0 to 1: mono samples, full scale 1."""
        t = times(self.seconds)
        # Noise first, and always in the same order: each draws from the one generator, so a seed gives the same hit.
        sound = noise(rng, velocity, self.bands, t)
        for partials in self.partials:
            sound += partials.sound(rng, velocity, t)
        return _rounded(faded(sound * np.float32(self._strength(rng, velocity)), self.rise))

    def _strength(self, rng: np.random.Generator, velocity: float) -> float:
        """Gain as a factor: louder with velocity, and a shade different from hit to hit."""
        # Gains were measured on strokes at a velocity of 0.8, at which most figures are played: there the power is 1.
        return float(10 ** ((self.gain + 0.3 * rng.standard_normal()) / 20) * (velocity / 0.8) ** self.dynamics)

    def scaled(self, pitch: float = 1.0, ring: float = 1.0, rattle: float = 1.0) -> "Voice":
        """The same instrument tuned by ``pitch``, its partials damped by ``ring`` and its noise by ``rattle``."""
        return replace(
            self,
            seconds=self.seconds * max(ring, rattle),
            partials=tuple(partials.scaled(pitch, ring) for partials in self.partials),
            bands=tuple(band.scaled(rattle) for band in self.bands),
        )


def _rounded(sound: Samples) -> Samples:
    """The sound with its sharpest peaks rounded off below ``ROUNDING``, as a struck head itself gives way."""
    # Soft clipping, x / (1 + x⁴)^¼ with x in units of ``ROUNDING``: up to half of it a peak loses less than 2 %.
    square = np.square(sound / np.float32(ROUNDING))
    rounded: Samples = sound / np.sqrt(np.sqrt(1 + square * square))
    return rounded


def _kick() -> Voice:
    head = membrane(
        54.0,
        {(0, 1): (1.3, 0.61), (1, 1): (0.16, 0.37), (0, 2): (0.28, 0.32), (0, 3): (0.11, 0.28)},
        glide=1.1,
        glide_growth=0.75,
        glide_seconds=0.018,
        tilt=3.5,
        spread=0.004,
        scatter=0.3,
        strike=0.17,
        wander=0.06,
    )
    beater = (
        Noise(1800, 3900, -23, 0.039, growth=7.5),
        Noise(190, 670, -24, 0.05, growth=12.5, slope=48),
        Noise(220, 3800, -29.5, 0.27, growth=11.5),
    )
    return Voice(0.50, (head,), beater, rise=0.0006, room=-20, width=0.1)


def _snare_head(ring: float = 1.0) -> tuple[Partials, ...]:
    low, high = SNARE_PAIR
    pair = Partials((low, high), (1.1, 0.32), (0.21, 0.27), 0.05, 0.08, 0.02, tilt=1.2)
    modes = membrane(
        low,
        {(1, 1): (0.26, 0.42), (2, 1): (0.16, 0.38), (0, 2): (0.51, 0.34), (3, 1): (0.11, 0.32), (5, 1): (0.1, 0.3)},
        glide=0.05,
        glide_growth=0.08,
        glide_seconds=0.02,
        tilt=2.9,
        strike=0.24,
        wander=0.1,
    )
    return pair.scaled(ring=ring), modes.scaled(ring=ring)


def _snare() -> Voice:
    wires = (
        Noise(870, 1900, -9.9, 0.34, growth=-0.5, bloom=0.0075),
        Noise(2700, 5100, -16.4, 0.28, growth=-0.5, slope=24, bloom=0.0062),
        Noise(5300, 9900, -20.5, 0.25, growth=2.5, slope=24, bloom=0.0063),
    )
    crack = Noise(1300, 8000, -10.5, 0.014, growth=3, slope=24)
    return Voice(0.42, _snare_head(), (*wires, crack), pan=0.06, rise=0.0008, room=-20, width=0.3)


def _ghost() -> Voice:
    """A tap on the same drum: the head first, then wires that answer and are soon gone."""
    wires = (
        Noise(850, 2100, -9.4, 0.23, growth=1, slope=30, bloom=0.0074),
        Noise(3100, 8500, -13.5, 0.30, growth=1, slope=18, bloom=0.008),
        Noise(1700, 13_000, -19.5, 0.016, growth=5, slope=24),
    )
    return Voice(0.34, _snare_head(0.85), wires, pan=0.06, rise=0.0008, room=-28, dynamics=0.7, width=0.3)


def _cross_stick() -> Voice:
    wood = Partials(
        (186, 415, 830, 1240, 1720, 2480, 3350, 4600),
        (0.35, 0.6, 0.5, 0.6, 0.55, 0.4, 0.33, 0.33),
        (0.26, 0.26, 0.25, 0.24, 0.24, 0.23, 0.22, 0.22),
        tilt=1.0,
        spread=0.008,
    )
    rattle = (Noise(1500, 6000, -12, 0.028, growth=13), Noise(200, 5300, -31, 0.26, growth=7))
    return Voice(0.34, (wood,), rattle, pan=0.10, width=0.5)


# No two in a simple ratio: partials of a plate lie close and give no pitch, which is what makes it sound of metal.
HAT_HERTZ = (3120, 3790, 4470, 5230, 5890, 6410, 7060, 7720, 8350, 9080, 9870, 10900)


def _closed_hat() -> Voice:
    bands = (
        Noise(150, 580, -7.7, 0.059, growth=3),
        Noise(340, 1400, -15, 0.33, growth=0.5, t60_growth=0.1, bloom=0.0015),
        Noise(1400, 3400, -13.4, 0.15, growth=-0.5, t60_growth=0.05, bloom=0.004),
        Noise(2900, 6600, -10.9, 0.27, growth=0.5, t60_growth=0.08, slope=36, bloom=0.0074),
        Noise(6600, 11_000, -3.2, 0.27, growth=-1.5, t60_growth=0.07, bloom=0.0065),
        Noise(11_000, 20_000, -5.7, 0.17, growth=4, t60_growth=0.06, bloom=0.0068),
        Noise(3000, 15_000, -4, 0.009, growth=4.5, slope=30),
    )
    strengths = tuple(float(a) for a in np.geomspace(0.19, 0.54, 12))
    metal = Partials(HAT_HERTZ, strengths, (0.23,) * 12, tilt=-0.7, spread=0.012, scatter=0.25, in_phase=False)
    return Voice(0.34, (metal,), bands, pan=-0.42, rise=0.0002, room=-20, width=0.4)


def _open_hat() -> Voice:
    bands = (
        Noise(120, 580, -13.5, 0.056, growth=0.5),
        Noise(320, 1400, -12, 1.7, bloom=0.0017),
        Noise(1500, 4100, -15, 1.0, bloom=0.0034),
        Noise(2800, 6800, -9.5, 1.1, slope=36, bloom=0.042),
        Noise(5100, 12_000, -4.2, 0.67, bloom=0.022),
        Noise(12_000, 15_000, -7.2, 0.67, growth=4.5, bloom=0.044),
        Noise(3800, 13_000, -10, 0.0085, growth=4, slope=48),
    )
    strengths = tuple(float(a) for a in np.geomspace(0.18, 0.57, 12))
    metal = Partials(HAT_HERTZ, strengths, (1.0,) * 12, tilt=1.3, spread=0.012, scatter=0.25, in_phase=False)
    return Voice(1.2, (metal,), bands, pan=-0.42, rise=0.0002, room=-20, width=0.4)


def _foot_hat() -> Voice:
    """Two cymbals closed by the foot: duller than a stroke, and without a tip."""
    bands = (
        Noise(70, 570, -1.5, 0.09, growth=2),
        Noise(720, 1700, -12, 0.10),
        Noise(1700, 4900, -6, 0.18, growth=2.5, t60_growth=0.04, bloom=0.010),
        Noise(6000, 15_000, -6, 0.20, growth=2, t60_growth=0.05, bloom=0.012),
        Noise(12_000, 16_000, -8, 0.18, growth=6, t60_growth=0.05, bloom=0.010),
        Noise(1000, 8000, -9, 0.006, growth=3),
    )
    return Voice(0.26, (), bands, pan=-0.42, rise=0.0005, room=-20, width=0.4)


RIDE_HERTZ = (398, 622, 911, 1278, 1733, 2190, 2640, 3115, 3580, 4090, 4625, 5210, 5930, 6700, 7480, 8350)
RIDE_STRENGTH = (
    0.03, 0.04, 0.04, 0.05, 0.06, 0.08, 0.10, 0.14, 0.18, 0.20, 0.21, 0.22, 0.22, 0.22, 0.21, 0.20
)  # fmt: skip


def _metal(hertz: tuple[float, ...], strength: tuple[float, ...], longest: float, shortest: float) -> Partials:
    t60 = tuple(float(t) for t in np.linspace(longest, shortest, len(hertz)))
    return Partials(hertz, strength, t60, spread=0.008, scatter=0.25, in_phase=False)


def _ride() -> Voice:
    wash = (
        Noise(200, 1900, -25, 1.9, growth=7),
        Noise(2300, 5600, -22, 1.5, growth=4.5),
        Noise(6100, 18_000, -16.6, 1.4, growth=6.5),
        Noise(10_000, 16_000, 1.5, 0.055, growth=7.5, slope=36),
    )
    ping = Noise(2700, 8000, 0.5, 0.022, growth=6, slope=48)
    metal = _metal(RIDE_HERTZ, RIDE_STRENGTH, 4.5, 2.2)
    return Voice(1.45, (metal,), (*wash, ping), pan=0.45, rise=0.0002, room=-22, width=0.8)


def _crash() -> Voice:
    wash = (
        Noise(260, 1500, -4, 2.0, growth=1.5),
        Noise(1600, 6200, -1.3, 2.6, growth=3.5, bloom=0.034),
        Noise(3900, 8200, -7.8, 2.6, growth=8, bloom=0.059),
        Noise(7900, 12_000, -14.4, 1.3, growth=5, bloom=0.038),
    )
    strike = Noise(1900, 11_000, -0.8, 0.055, growth=6)
    strengths = tuple(float(a) for a in np.geomspace(0.25, 1.8, len(RIDE_HERTZ)))
    metal = _metal(tuple(0.83 * hz for hz in RIDE_HERTZ), strengths, 5.0, 2.4)
    return Voice(1.9, (metal,), (*wash, strike), pan=-0.30, rise=0.0003, room=-20, width=0.8)


TOM_MODES = {
    (0, 1): (1.18, 1.0), (1, 1): (0.25, 0.67), (2, 1): (0.16, 0.45), (0, 2): (0.12, 0.4), (3, 1): (0.08, 0.36),
    (1, 2): (0.09, 0.32), (4, 1): (0.04, 0.28), (2, 2): (0.06, 0.24), (5, 1): (0.04, 0.2),
}  # fmt: skip
"""How strongly a tom's modes are struck, and how long they ring beside the lowest."""


def _tom(hertz: float, t60: float, pan: float) -> Voice:
    head = membrane(
        hertz,
        {mode: (strength, ring * t60) for mode, (strength, ring) in TOM_MODES.items()},
        glide=0.05,
        glide_growth=0.11,
        glide_seconds=0.055,
        tilt=5.9,
        strike=0.4,
        wander=0.15,
    )
    stick = (
        Noise(840, 2300, -16.5, 0.04, growth=16, slope=12),
        Noise(270, 2200, -29, 0.5, growth=12),
        Noise(170, 980, -19, 0.07, growth=8.5, slope=48),
    )
    return Voice(0.8 * t60, (head,), stick, pan=pan, rise=0.0003, width=0.3)


def _sticks(pitch: float) -> Voice:
    """Two sticks struck together: wood that cracks more than it rings."""
    wood = Partials(
        tuple(pitch * hertz for hertz in (1210, 2930, 5290, 7480)),
        (0.6, 0.5, 0.8, 0.3),
        (0.055, 0.045, 0.035, 0.025),
        tilt=1.0,
        spread=0.006,
    )
    crack = Noise(1500 * pitch, 9000 * pitch, -14, 0.025, growth=4)
    return Voice(0.09, (wood,), (crack,), rise=0.0002, room=-28)


def _tick(hertz: float) -> Voice:
    """A plain click of a pitch, in Hz."""
    t60 = 0.03
    # The transverse modes of a bar that is free at both ends (Fletcher & Rossing, chapter 2).
    bar = Partials(
        (hertz, 2.76 * hertz, 5.4 * hertz), (1.0, 0.35, 0.12), (t60, 0.55 * t60, 0.27 * t60), tilt=1.0, spread=0.002
    )
    return Voice(0.09, (bar,), rise=0.0002, room=-28)


def practice_voices() -> dict[str, Voice]:
    """Every instrument of the dry practice kit, by name; ``..., accented`` where an accent has a voice of its own."""
    return {
        "kick": _kick(),
        "snare": _snare(),
        "ghost": _ghost(),
        "cross-stick": _cross_stick(),
        "closed-hat": _closed_hat(),
        "open-hat": _open_hat(),
        "foot-hat": _foot_hat(),
        "ride": _ride(),
        "crash": _crash(),
        "high-tom": _tom(165, 0.9, -0.20),
        "mid-tom": _tom(126, 1.05, 0.18),
        "floor-tom": _tom(88, 1.25, 0.40),
        "sticks": _sticks(1.0),
        "sticks, accented": _sticks(1.45),
        "click": _tick(800),
        "click, accented": _tick(1070),
    }


def plain_click(hertz: dict[str, int]) -> dict[str, Voice]:
    """A short click for each instrument, by its pitch in Hz; an accented count is a fourth higher."""
    clicks = {name: _tick(pitch) for name, pitch in hertz.items()}
    for name in sorted(CLICKS):
        clicks[f"{name}, accented"] = _tick(4 / 3 * hertz[name])
    return clicks
