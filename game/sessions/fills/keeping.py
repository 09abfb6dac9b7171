"""How fills are kept: what the records hold of one, and the fill and setting it was; older ones were bars."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import Any

from shared.bars import METERS, Bar
from shared.counting import parse_bar
from shared.errors import UserError
from shared.fills import DRUMS, GHOST, Fill, FillBeat, FillStroke, from_values
from shared.orchestration import ORCHESTRATIONS, Setting, arrange
from shared.passages import Stroke

USUAL_GROOVE_BARS = 3
"""The bars of groove before a fill: with it a phrase of four."""


@dataclass(frozen=True)
class OpenedFill:
    """A kept fill, ready to be heard and changed."""

    name: str
    fill: Fill
    setting: Setting


def opened(name: str, count: str, values: Any, setting: Mapping[str, Any], usual: Setting) -> OpenedFill:
    """A kept fill: its ``values``, or None where a bar was kept by its count and way round the kit.

    What can't be read of the setting is as ``usual``.  Raises ``UserError`` where the fill itself can't be read.
    """
    played = _setting(setting, usual)
    if values is not None:
        return OpenedFill(name, from_values(values), played)
    bar = parse_bar(count, METERS.get(str(setting.get("meter"))))
    return OpenedFill(name, fill_of_bar(bar, played), played)


def kept_setting(setting: Setting) -> dict[str, Any]:
    """How a fill is played, as what JSON can hold."""
    kept = asdict(replace(setting, contrast=()))
    # Which figures stand against each other belongs to a question and not to a fill.
    del kept["contrast"]
    return kept


def fill_of_bar(bar: Bar, setting: Setting) -> Fill:
    """The figures of a bar on the drums that its way round the kit gives them, in a groove where that is a fill."""
    # Exactly in their places, so that each stroke is found again by beat and onset.
    strokes = arrange(bar, replace(setting, count_in=False, groove_bars=0, feel=0.0)).strokes
    asked = ORCHESTRATIONS[setting.orchestration].asked(bar.meter)
    by_place = {(one.beat - 1, one.at): one for one in strokes if one.figure}
    beats = []
    for place, figure in enumerate(bar.figures):
        own = tuple(_stroke(by_place.get((place, at))) for at in figure.onsets)
        beats.append(FillBeat(figure, own) if place in asked else None)
    return Fill(bar.meter, tuple(beats))


def _stroke(one: Stroke | None) -> FillStroke:
    if one is None:
        return FillStroke()
    if one.instrument == "ghost":
        return FillStroke(force=GHOST)
    return FillStroke((one.instrument if one.instrument in DRUMS else "snare",), "accent" if one.accent else "plain")


def _setting(values: Mapping[str, Any], usual: Setting) -> Setting:
    setting = usual
    for key in asdict(usual):
        # By exact types: to isinstance true is an int, and it must not become a tempo.
        if key in values and type(values[key]) in (type(getattr(usual, key)), int, float):
            setting = _changed(setting, key, values[key])
    return setting


def _changed(setting: Setting, key: str, value: object) -> Setting:
    """The setting with one value changed, or as it was where there is no such value."""
    try:
        return replace(setting, **{key: value})  # type: ignore[arg-type]
    except (UserError, TypeError):
        return setting
