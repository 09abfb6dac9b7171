"""One hit of each voice against what recorded drums do.

The ranges are the least and the most of nine recorded sets, as ``kit_measures`` measures them; ``recorded_sets`` says
where those come from.  ``python -m tests.long kits`` judges all 26 measures, with the sets at hand.
"""

import numpy as np
import pytest

from audio.kit import VARIANTS
from tests.kits import bank_of
from tests.sampling import some
from tests.trade.kit_measure import DRUM_KITS, made
from tests.trade.kit_measures import MEASURES

RANGES = (
    ("kick", "to -10 dB", 18, 172), ("kick", "to -20 dB", 37, 368), ("kick", "centroid 0-20 ms", 80, 197),
    ("snare", "to -20 dB", 49, 315), ("snare", "to -40 dB", 162, 562), ("snare", "centroid 0-20 ms", 322, 903),
    ("snare", "brightening", -0.467, 0.082), ("ghost", "to -20 dB", 57, 207),
    ("ghost", "centroid 0-20 ms", 324, 1850), ("ghost", "crest", 11.4, 17.2), ("closed-hat", "to -10 dB", 25, 178),
    ("closed-hat", "to -20 dB", 57, 230), ("closed-hat", "to -40 dB", 166, 399),
    ("closed-hat", "T60 at 4 kHz", 0.266, 0.614), ("closed-hat", "octave at 500 Hz", -20.1, -3.5),
    ("open-hat", "T60", 0.676, 15.6), ("foot-hat", "to -20 dB", 59, 121), ("foot-hat", "T60", 0.181, 0.421),
    ("ride", "to -40 dB", 945, 5800), ("crash", "flatness", 0.011, 0.398), ("high-tom", "centroid 0-20 ms", 206, 747),
    ("high-tom", "brightening", 0.264, 1.11), ("mid-tom", "centroid 0-20 ms", 170, 1510),
    ("floor-tom", "centroid 0-20 ms", 158, 1020),
)  # fmt: skip


@pytest.mark.parametrize(("voice", "kit"), some(2, sorted({voice for voice, *_ in RANGES}), DRUM_KITS))
def test_hits_lie_where_recorded_ones_lie(voice: str, kit: str) -> None:
    """The hits of a voice, taken together, are no further off than the furthest of nine recorded sets."""
    bank = bank_of(kit)
    ranges = {name: (least, most) for of, name, least, most in RANGES if of == voice}
    measures = [measure for measure in MEASURES if measure.name in ranges]
    assert len(measures) == len(ranges)
    hits = np.nanmean([made(bank, voice, variant, measures) for variant in range(VARIANTS)], axis=0)
    for measure, hit in zip(measures, hits, strict=True):
        least, most = ranges[measure.name]
        assert least <= hit <= most, measure.name
