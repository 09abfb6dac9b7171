"""``python -m tests.long kits``, or ``tests.trade.kit_measure [VOICE ...]``: how many of a kit's cells lie outside
what recorded sets do.  The exit code is 1 where a kit has more of them than a recorded set.

A cell is one measure of one voice.  Each recorded set is judged by the others of its group, each left out in turn;
a kit is judged by the same others, so by equally many.  With voices named, their cells outside are listed.
"""

import sys
import warnings
from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np

from audio.kit import KITS, LAYERS, VARIANTS, Bank
from tests.trade.kit_measures import MEASURES, Floats, Measure, judge, measured
from tests.trade.recorded_sets import HELD_OUT, TUNED, RecordedSet, installed

VOICES = (
    "kick", "snare", "ghost", "cross-stick", "closed-hat", "open-hat", "foot-hat", "ride", "crash",
    "high-tom", "mid-tom", "floor-tom", "sticks",
)  # fmt: skip
DRUM_KITS = tuple(kit for kit in KITS if kit != "click")
GROUPS = {"tuned on": TUNED, "held out": HELD_OUT, "all": (*TUNED, *HELD_OUT)}
NOTHING = np.full(len(MEASURES), np.nan)


@cache
def recorded(one: RecordedSet) -> Floats:
    """The measures of a recorded set: (voices, measures)."""
    strokes = [(voice, one.stroke(voice)) for voice in VOICES]
    return np.array([NOTHING if it is None else measured(it, one.layers(voice)) for voice, it in strokes])


def made(bank: Bank, voice: str, variant: int, measures: Sequence[Measure] = MEASURES) -> Floats:
    """Measures of a voice of ours: one stroke, and five layers, each hit as it comes."""

    def sound(velocity: float, turn: int) -> Floats:
        return bank.shot(voice, velocity, turn).samples / 32768

    softest = 2 if voice != "ghost" else 1
    velocities = np.linspace(softest, LAYERS if voice != "ghost" else 4, 5).round() / LAYERS
    needed = any(measure.over_layers for measure in measures)
    layers = [sound(min(velocity, 0.88), variant + place) for place, velocity in enumerate(velocities) if needed]
    return measured(sound(0.3 if voice == "ghost" else 0.8, variant), layers, measures)


def of_kit(kit: str, voices: Sequence[str] = VOICES) -> Floats:
    """The measures of a kit of ours: (variants, voices, measures)."""
    bank = Bank(kit)
    return np.array([[made(bank, voice, variant) for voice in voices] for variant in range(VARIANTS)])


def cells(values: Floats, others: Floats) -> tuple[Floats, Floats]:
    """Which cells of (voices, measures) lie outside (sets, voices, measures), and how far off all are."""
    pairs = [judge(values[place], others[:, place]) for place in range(len(values))]
    return np.array([outside for outside, _ in pairs]), np.array([apart for _, apart in pairs])


def left_out(sets: Floats, values: Sequence[Floats] | None = None) -> tuple[Floats, Floats]:
    """Cells outside and deviations, (cases, voices, measures): each set left out in turn, it or ``values`` judged."""
    found = []
    for place in range(len(sets)):
        others = np.delete(sets, place, axis=0)
        found += [cells(one, others) for one in (values if values is not None else [sets[place]])]
    return np.array([outside for outside, _ in found]), np.array([apart for _, apart in found])


@dataclass(frozen=True)
class Judged:
    """Cells outside and deviations of one kit or of the recorded sets: (cases, voices, measures) each."""

    name: str
    outside: Floats
    apart: Floats

    def share(self, known: Floats) -> float:
        """The share of cells outside, where a cell is known to all."""
        return float(np.nanmean(np.where(known, np.nanmean(self.outside, axis=0), np.nan)))

    def line(self, known: Floats) -> str:
        """A row of the table: the share, the mean deviation, and the share voice by voice."""
        shares = np.nanmean(np.where(known, np.nanmean(self.outside, axis=0), np.nan), axis=1)
        off = np.nanmean(np.where(known, np.nanmean(self.apart, axis=0), np.nan))
        voices = "  ".join(f"{v} {s:.0%}" for v, s in zip(VOICES, shares, strict=True) if not np.isnan(s))
        return f"  {self.name:14}{self.share(known):7.1%} outside, |z| {off:.2f}: {voices}"


def main(words: Sequence[str]) -> int:
    """Print the table, and what lies outside of the voices named."""
    warnings.simplefilter("ignore")
    if not installed():
        print("install avldrums.lv2-soundfont and hydrogen-drumkits first", file=sys.stderr)
        return 1
    kits = {kit: of_kit(kit) for kit in DRUM_KITS}
    worse = [group for group in GROUPS if not _no_worse(group, kits)]
    for voice in words:
        _detail(voice, kits)
    return 1 if worse else 0


def _no_worse(group: str, kits: dict[str, Floats]) -> bool:
    """Print a group's part of the table; whether no kit has more cells outside than a recorded set."""
    sets = np.array([recorded(one) for one in GROUPS[group]])
    real = Judged("recorded sets", *left_out(sets))
    ours = [Judged(kit, *left_out(sets, list(of))) for kit, of in kits.items()]
    known = np.all([~np.isnan(one.outside).all(axis=0) for one in (real, *ours)], axis=0)
    print(f"{group}: {len(sets)} sets, {known.sum()} cells")
    for one in (real, *ours):
        print(one.line(known))
    return max(one.share(known) for one in ours) <= real.share(known)


def _detail(voice: str, kits: dict[str, Floats]) -> None:
    place = VOICES.index(voice)
    sets = {group: np.array([recorded(one)[place] for one in GROUPS[group]]) for group in ("tuned on", "held out")}
    print(f"{voice}: least, median, most of the sets tuned on; of those held out; ours")
    for number, measure in enumerate(MEASURES):
        spans = [
            "{:9.4g} {:9.4g} {:9.4g}".format(*np.nanpercentile(of[:, number], (0, 50, 100))) for of in sets.values()
        ]
        ours = "  ".join(f"{kit} {np.nanmean(of[:, place, number]):9.4g}" for kit, of in kits.items())
        print(f"  {measure.name:22}{measure.unit:14}{' | '.join(spans)} | {ours}")


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
