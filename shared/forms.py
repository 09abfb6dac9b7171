"""Musical forms: charts of eight to sixteen bars, with a fill at the end of each phrase."""

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from shared.bars import Bar, Meter
from shared.charts import PHRASE, Chart
from shared.errors import UserError
from shared.figures import Figure
from shared.fills import Fill, FillBeat, FillStroke
from shared.playability import cautions

TRIES = 60
"""How often a fill is drawn anew, to find one that hands can play and that the chart does not have yet."""


class FormError(UserError, ValueError):
    """Fills or figures of which no chart can be made."""


@dataclass(frozen=True)
class Form:
    """A form: how many bars are heard, phrases that are ``repeated`` as (first, last) bar, and a dynamic for each."""

    name: str
    phrases: int
    repeats: tuple[tuple[int, int], ...] = ()
    dynamics: tuple[str, ...] = ("mf",)

    @property
    def heard(self) -> int:
        """The bars that are heard."""
        return self.phrases * PHRASE + sum(last - first + 1 for first, last in self.repeats)


FORMS = {
    form.name: form
    for form in (
        Form("eight bars", 2, dynamics=("mf", "f")),
        Form("twelve bars", 2, ((0, 3),), ("mf", "f")),
        Form("sixteen bars", 2, ((0, 3), (4, 7)), ("mf", "f")),
    )
}
"""Every form, by name."""


def made(form: Form, fills: Sequence[Fill]) -> Chart:
    """The chart of a form with one fill, of one bar, at the end of each phrase: the groove is all else.

    Raises ``FormError`` where there are not as many fills as phrases, or one is longer than a bar.
    """
    if len(fills) != form.phrases or any(fill.length != 1 for fill in fills):
        raise FormError(f"{form.name}: give {form.phrases} fills of one bar; found {len(fills)}")
    meter = fills[0].meter
    silent = Bar(meter, (Figure((), meter.compound),) * meter.beats)
    bars: list[Bar] = []
    parts: list[Fill | None] = []
    for fill in fills:
        bars += [*[silent] * (PHRASE - 1), fill.bars[0]]
        parts += [*[None] * (PHRASE - 1), fill]
    dynamics = tuple((number * PHRASE, mark) for number, mark in enumerate(form.dynamics))
    return Chart(tuple(bars), fills=tuple(parts), repeats=form.repeats, dynamics=dynamics)


def drawn(form: Form, meter: Meter, figures: Sequence[Figure], tempo: float, seed: int, lead: str = "R") -> Chart:
    """A chart of a form, its fills drawn from some figures so that hands can play them, no two fills alike.

    Raises ``FormError`` where no figure of the meter has a stroke.
    """
    # A text as seed gives the same numbers on every machine, and other ones for each form.
    random = Random(f"form/{form.name}/{seed}")
    # In the order given, which the draw depends on: a set has no order to rely on.
    struck = [figure for figure in dict.fromkeys(figures) if figure.onsets and figure.compound == meter.compound]
    if not struck:
        raise FormError(f"no figure of {meter} with a stroke to make a fill of")
    fills: list[Fill] = []
    while len(fills) < form.phrases:
        fills.append(_fill(meter, struck, tempo, lead, random, fills))
    return made(form, fills)


def _fill(
    meter: Meter, figures: Sequence[Figure], tempo: float, lead: str, random: Random, before: Sequence[Fill]
) -> Fill:
    """A fill on the second half of a bar, or on all of it, other than those before it where that can be."""
    for _ in range(TRIES):
        first = random.choice([0, meter.beats // 2])
        chosen = [random.choice(figures) if place >= first else None for place in range(meter.beats)]
        beats = tuple(FillBeat(one, (FillStroke(),) * len(one.onsets)) if one else None for one in chosen)
        fill = Fill(meter, beats).round_the_kit(random.choice(["down the kit", "on the snare"]))
        if fill.figures not in [other.figures for other in before] and not cautions(fill, tempo, lead):
            return fill
    # With one figure alone, or at a tempo too quick for any, the last one drawn is all there is.
    return fill
