"""Writing a bar of one's own: by figures, beat by beat, or by typing its count; and how it is kept."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from shared.bars import METERS, Bar, Meter
from shared.counting import CountError, parse_bar
from shared.figures import Figure
from shared.orchestration import Setting, SettingError
from shared.passages import TempoError

Figures = tuple[Figure | None, ...]


@dataclass(frozen=True)
class Draft:
    """A bar that is being written: a figure or nothing yet for each beat, and the count as it was typed.

    ``fault`` says what is wrong with the typed count; the figures are then those of the last good one.
    """

    meter: Meter
    figures: Figures
    text: str = ""
    fault: str = ""

    @property
    def bar(self) -> Bar:
        """The bar as it sounds: a beat without a figure is silent."""
        silent = Figure((), self.meter.compound)
        return Bar(self.meter, tuple(figure or silent for figure in self.figures))

    @property
    def is_empty(self) -> bool:
        """Whether no beat has a figure yet."""
        return not any(self.figures)

    def with_figure(self, beat: int, figure: Figure | None) -> "Draft":
        """With a figure, or nothing, on a beat (from 0); the count follows."""
        figures = tuple(figure if k == beat else other for k, other in enumerate(self.figures))
        return _counted(replace(self, figures=figures))

    def with_count(self, text: str) -> "Draft":
        """With a count as it was typed; beats that are not typed yet stay empty.  A faulty count changes no beat."""
        if not text.strip():
            return replace(blank(self.meter), text=text)
        try:
            figures = _typed(text, self.meter)
        except CountError as error:
            return replace(self, text=text, fault=str(error))
        return Draft(self.meter, figures, text)

    def in_meter(self, meter: Meter) -> "Draft":
        """In another meter: figures that fit its beats keep their places."""
        kept = [figure if figure and figure.compound == meter.compound else None for figure in self.figures]
        return _counted(Draft(meter, tuple((kept + [None] * meter.beats)[: meter.beats])))


def blank(meter: Meter) -> Draft:
    """A bar with nothing in it yet."""
    return Draft(meter, (None,) * meter.beats)


def draft_of(bar: Bar) -> Draft:
    """A written bar, to be changed."""
    return _counted(Draft(bar.meter, bar.figures))


def _counted(draft: Draft) -> Draft:
    """The draft with the count of its figures; an empty beat in front of others is counted as silent."""
    last = max((beat for beat, figure in enumerate(draft.figures, 1) if figure), default=0)
    words = [figure.count_on(beat) if figure else f"({beat})" for beat, figure in enumerate(draft.figures[:last], 1)]
    return replace(draft, text=" ".join(words), fault="")


def _typed(text: str, meter: Meter) -> Figures:
    """The beats of a count, with None for those that are still to come.  Raises ``CountError``."""
    first: CountError | None = None
    # Try the text as it is, then with its last beats counted as silent: what is half typed is a bar too.
    for missing in range(meter.beats):
        rest = " ".join(f"({beat})" for beat in range(meter.beats - missing + 1, meter.beats + 1))
        try:
            figures = parse_bar(f"{text} {rest}", meter).figures
        except CountError as error:
            # A fault within what was typed; one behind it is of beats that are still to come.
            if 0 < error.position <= len(text):
                raise
            first = first or error
        else:
            return (*figures[: meter.beats - missing], *(None,) * missing)
    assert first is not None, "a bar has at least one beat"
    raise first


def kept(bar: Bar, setting: Setting) -> dict[str, Any]:
    """How a bar is played, as the records keep it beside the bar's count: what JSON can hold."""
    return {"meter": bar.meter.name, **asdict(setting)}


def opened(count: str, values: Mapping[str, Any], usual: Setting) -> tuple[Bar, Setting]:
    """A kept bar and how it is played; what can't be read is as ``usual``.  Raises ``CountError``."""
    bar = parse_bar(count, METERS.get(str(values.get("meter"))))
    setting = usual
    for key in asdict(usual):
        # By exact types: to isinstance true is an int, and it must not become a tempo.
        if key in values and type(values[key]) in (type(getattr(usual, key)), int, float):
            setting = _changed(setting, key, values[key])
    return bar, setting


def _changed(setting: Setting, key: str, value: object) -> Setting:
    """The setting with one value changed, or as it was where there is no such value."""
    try:
        return replace(setting, **{key: value})  # type: ignore[arg-type]
    except (SettingError, TempoError):
        return setting
