"""The voices of the practice kit: what each instrument is made of, in numbers.

Decays, glides and bands follow the physics of struck membranes and plates (Fletcher & Rossing, The
Physics of Musical Instruments, chapters 18 to 20) and were settled by the spectral centroid and
decay of the rendered sound.
"""

from dataclasses import dataclass, replace

import numpy as np

from audio.synthesis import Noise, Partials, Samples, faded, membrane, noise, times

SNARE_PAIR = (186.0, 329.0)
"""The coupled modes of the two heads, in Hz (T. D. Rossing and others, Acoustics of snare drums, 1992)."""

ROUNDING = 0.6
"""The highest peak of a hit, full scale 1."""


@dataclass(frozen=True)
class Voice:
    """One instrument: partials and noise.

    ``seconds`` is the length of the longest hit, ``gain`` its level in dB, ``pan`` its place from -1
    (left) to 1 (right), ``rise`` the time, in seconds, in which a hit sets in, ``room`` how much of it,
    in dB, reaches the room, and ``dynamics`` the power of the velocity that its loudness follows.
    """

    seconds: float
    partials: tuple[Partials, ...] = ()
    bands: tuple[Noise, ...] = ()
    gain: float = 0.0
    pan: float = 0.0
    rise: float = 0.0005
    room: float = -14.0
    dynamics: float = 1.3

    def hit(self, rng: np.random.Generator, velocity: float) -> Samples:
        """One hit at a velocity from 0 to 1: mono samples, full scale 1."""
        t = times(self.seconds)
        sound = noise(rng, velocity, self.bands, t)
        for partials in self.partials:
            sound += partials.sound(rng, velocity, t)
        return _rounded(faded(sound * np.float32(self._strength(rng, velocity)), self.rise))

    def _strength(self, rng: np.random.Generator, velocity: float) -> float:
        """Gain as a factor: louder with velocity, and a shade different from hit to hit."""
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
    square = np.square(sound / np.float32(ROUNDING))
    rounded: Samples = sound / np.sqrt(np.sqrt(1 + square * square))
    return rounded


def _kick() -> Voice:
    head = Partials(
        *membrane(54.0, {(0, 1): (1.0, 0.42), (1, 1): (0.10, 0.18), (0, 2): (0.28, 0.16), (0, 3): (0.10, 0.10)}),
        glide=0.9,
        glide_growth=0.5,
        glide_seconds=0.018,
        tilt=3.0,
        spread=0.004,
        scatter=0.3,
    )
    beater = (Noise(1800, 4600, -20, 0.030, growth=9), Noise(180, 700, -24, 0.050, growth=13, slope=48))
    return Voice(0.50, (head,), beater, rise=0.0006, room=-20)


def _snare_head(ring: float = 1.0) -> tuple[Partials, ...]:
    low, high = SNARE_PAIR
    pair = Partials((low, high), (0.95, 0.52), (0.17, 0.13), 0.05, 0.08, 0.02, tilt=2.0)
    modes = Partials(
        *membrane(
            low,
            {
                (1, 1): (0.33, 0.16),
                (2, 1): (0.24, 0.12),
                (0, 2): (0.21, 0.09),
                (3, 1): (0.15, 0.08),
                (5, 1): (0.07, 0.05),
            },
        ),
        glide=0.05,
        glide_growth=0.08,
        glide_seconds=0.02,
        tilt=4.0,
    )
    return pair.scaled(ring=ring), modes.scaled(ring=ring)


def _snare() -> Voice:
    wires = (
        Noise(900, 2600, -10.5, 0.15, t60_growth=0.07),
        Noise(2400, 5500, -16, 0.13, growth=4, t60_growth=0.12, slope=24),
        Noise(5200, 8200, -25, 0.08, growth=9, t60_growth=0.07, slope=48),
    )
    crack = Noise(1500, 5500, -20, 0.02, growth=9, slope=48)
    return Voice(0.36, _snare_head(), (*wires, crack), pan=0.06, rise=0.0008, room=-18)


def _ghost() -> Voice:
    wires = (Noise(1100, 3600, -9, 0.075, slope=48), Noise(3000, 7000, -19, 0.06, growth=6, slope=48))
    head = tuple(replace(part, amplitudes=tuple(0.36 * a for a in part.amplitudes)) for part in _snare_head(0.5))
    return Voice(0.14, head, wires, pan=0.06, rise=0.0008, room=-18, dynamics=0.6)


def _cross_stick() -> Voice:
    wood = Partials(
        (415, 830, 1240, 1720, 2480, 3350, 4600),
        (0.55, 0.5, 0.75, 1.0, 0.55, 0.3, 0.18),
        (0.085, 0.06, 0.05, 0.045, 0.035, 0.025, 0.02),
        tilt=1.5,
        spread=0.008,
    )
    return Voice(0.14, (wood,), (Noise(1500, 8000, -17.5, 0.02, growth=8),), pan=0.10)


HAT_HERTZ = (3120, 3790, 4470, 5230, 5890, 6410, 7060, 7720, 8350, 9080, 9870, 10900)


def _hat(t60: float, growth: float, seconds: float, stick: float) -> Voice:
    """A hi-hat; ``t60`` in seconds at velocity 0, ``stick`` the strength of the tip in dB at velocity 0."""
    bands = (
        Noise(350, 1500, -22, 0.85 * t60, t60_growth=growth),
        Noise(1500, 3400, -15, 0.85 * t60, t60_growth=growth),
        Noise(3200, 6500, -8, 0.85 * t60, growth=4, t60_growth=growth, slope=48),
        Noise(6500, 11500, 0, t60, t60_growth=growth),
        Noise(11000, 18000, -6, 0.65 * t60, growth=8, t60_growth=growth),
    )
    metal = Partials(
        HAT_HERTZ, (0.15,) * 12, (0.8 * t60 + 0.6 * growth,) * 12, spread=0.012, scatter=0.25, in_phase=False
    )
    tip = Noise(4000, 13000, stick, 0.008, growth=7.6, slope=48)
    return Voice(seconds, (metal,), (*bands, tip), pan=-0.42, rise=0.0002, room=-20)


def _foot_hat() -> Voice:
    """Two cymbals closed by the foot: duller than a stroke, and without a tip."""
    bands = (
        Noise(350, 1200, -9, 0.05, growth=2),
        Noise(1500, 4500, -2, 0.07, t60_growth=0.02, growth=2),
        Noise(4400, 8500, -7, 0.06, t60_growth=0.02, growth=5),
        Noise(8200, 13000, -19, 0.05, t60_growth=0.02, growth=8),
    )
    return Voice(0.11, (), bands, pan=-0.42, rise=0.001, room=-20)


RIDE_HERTZ = (398, 622, 911, 1278, 1733, 2190, 2640, 3115, 3580, 4090, 4625, 5210, 5930, 6700, 7480, 8350)
RIDE_STRENGTH = (0.09, 0.10, 0.11, 0.12, 0.15, 0.20, 0.26, 0.34, 0.42, 0.44, 0.40, 0.36, 0.30, 0.26, 0.22, 0.17)


def _metal(hertz: tuple[float, ...], strength: tuple[float, ...], longest: float, shortest: float) -> Partials:
    t60 = tuple(float(t) for t in np.linspace(longest, shortest, len(hertz)))
    return Partials(hertz, strength, t60, spread=0.008, scatter=0.25, in_phase=False)


def _ride() -> Voice:
    wash = (
        Noise(400, 2500, -24, 0.8, growth=5.5),
        Noise(2500, 6000, -16, 1.1, growth=5.5),
        Noise(6000, 15000, -15, 0.8, growth=8.5),
        Noise(9500, 16000, 1, 0.05, growth=8, slope=36),
    )
    ping = Noise(2600, 6500, -3, 0.018, growth=6.5, slope=48)
    metal = _metal(RIDE_HERTZ, RIDE_STRENGTH, 2.4, 0.9)
    return Voice(1.05, (metal,), (*wash, ping), pan=0.45, rise=0.0002, room=-22)


def _crash() -> Voice:
    wash = (
        Noise(300, 1500, -13, 1.1, growth=3),
        Noise(1400, 4500, -2, 1.7, growth=4),
        Noise(4200, 9000, -1, 1.5, growth=4),
        Noise(8500, 17000, -5, 1.0, growth=6),
    )
    strike = Noise(2500, 11000, 0, 0.05, growth=6)
    metal = _metal(tuple(0.83 * hz for hz in RIDE_HERTZ), (0.12,) * len(RIDE_HERTZ), 1.9, 1.0)
    return Voice(1.8, (metal,), (*wash, strike), pan=-0.30, rise=0.0003, room=-20)


def _tom(hertz: float, t60: float, pan: float) -> Voice:
    head = Partials(
        *membrane(
            hertz,
            {
                (0, 1): (1.0, t60),
                (1, 1): (0.42, 0.75 * t60),
                (2, 1): (0.20, 0.5 * t60),
                (0, 2): (0.16, 0.35 * t60),
                (3, 1): (0.10, 0.35 * t60),
                (1, 2): (0.06, 0.15),
            },
        ),
        glide=0.05,
        glide_growth=0.11,
        glide_seconds=0.055,
        tilt=6.0,
    )
    attack = (Noise(700, 3500, -21, 0.035, growth=10), Noise(200, 900, -22, 0.06, growth=9, slope=48))
    return Voice(1.05 * t60, (head,), attack, pan=pan, rise=0.0003)


def _tick(hertz: float, t60: float = 0.055) -> Voice:
    """A short bright stroke: two sticks, or the plain click, by its pitch."""
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
        "closed-hat": _hat(0.06, 0.03, 0.14, -6),
        "open-hat": _hat(0.95, 0.05, 1.0, -6),
        "foot-hat": _foot_hat(),
        "ride": _ride(),
        "crash": _crash(),
        "high-tom": _tom(196, 0.50, -0.20),
        "mid-tom": _tom(138, 0.62, 0.18),
        "floor-tom": _tom(88, 0.80, 0.40),
        "sticks": _tick(1480),
        "sticks, accented": _tick(2217),
        "click": _tick(800, 0.03),
        "click, accented": _tick(1070, 0.03),
    }


def plain_click(hertz: dict[str, int]) -> dict[str, Voice]:
    """A short click for each instrument, by its pitch in Hz; an accented count is a fourth higher."""
    clicks = {name: _tick(pitch, 0.03) for name, pitch in hertz.items()}
    for name in ("sticks", "click"):
        clicks[f"{name}, accented"] = _tick(4 / 3 * hertz[name], 0.03)
    return clicks
