"""Makes the passages that a page plays: a whole bar, one beat alone, a bar over and over, two of them in turn."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from shared.bars import Bar, meter_for
from shared.figures import Figure
from shared.orchestration import FIGURE, Setting, arrange
from shared.passages import Passage, Stroke

LEAD_IN = 2
"""How many beats of sticks come before a beat that is heard alone."""

AS_PLAYED, AS_SAID = "As played", "As you said"
"""The captions of the two sounds where an answer is compared with what was played."""

AS_SOME_SAID = "As some said"
"""The second of these captions before a class, of which others said something else."""

LOOPS = 16
"""How many times a loop plays the bar: it ends by itself, so that a room left alone falls silent."""


@dataclass(frozen=True)
class Hearing:
    """Something to be heard once: a passage, and a caption of a word or two for each of its bars.

    ``beat`` is the place in the question's bar, from 0, of a beat that each bar plays alone; ``loop`` tells
    that the figures come over and over.
    """

    passage: Passage
    words: tuple[str, ...]
    beat: int | None = None
    loop: bool = False


def captioned(passage: Passage, caption: str, beat: int | None = None) -> Hearing:
    """A passage whose figures have a caption; count-in and groove have words of their own."""
    counted = any(stroke.bar == 0 and stroke.instrument == "sticks" for stroke in passage.strokes)
    before = ["Groove"] * passage.figure_bar
    if counted and before:
        before[0] = "Count-in"
    # One word for each bar of the passage: the page shows the word of the bar that sounds.
    return Hearing(passage, (*before, *[caption] * (passage.bars - passage.figure_bar)), beat)


def whole_bar(bar: Bar, setting: Setting, caption: str) -> Hearing:
    """A whole bar."""
    return captioned(arrange(bar, setting), caption)


def one_beat(bar: Bar, setting: Setting, beat: int, caption: str) -> Hearing:
    """One beat (from 0) of a bar, between sticks."""
    return captioned(beat_alone(arrange(bar, setting), beat + 1), caption, beat)


def two_bars(first: Bar, second: Bar, setting: Setting, second_setting: Setting) -> Hearing:
    """Two bars in a row, the second right after the first."""
    # Nothing may lead in to the second: the two are to be kept in mind as one stretch.
    follows = replace(second_setting, count_in=False, groove_bars=0)
    return _joined(whole_bar(first, setting, "First bar"), whole_bar(second, follows, "Second bar"))


def bars_in_turn(played: Bar, answered: Bar, setting: Setting) -> Hearing:
    """A bar as it was played, then as it was answered."""
    return in_turn(whole_bar(played, setting, AS_PLAYED), whole_bar(answered, setting, AS_SAID))


def beats_in_turn(played: Bar, answered: Bar, setting: Setting, beat: int, said: str = AS_SAID) -> Hearing:
    """A beat (from 0) as it was played, as it was answered, and as it was played: the last word is the right one.

    ``said`` is the caption of the answer.
    """
    was = one_beat(played, setting, beat, AS_PLAYED)
    return in_turn(in_turn(was, one_beat(answered, setting, beat, said)), was)


def as_answered(bar: Bar, said: Mapping[int, Figure | None]) -> Bar:
    """The bar as it was answered: ``said`` by place in the bar, from 0; a beat that was skipped is silent."""
    silent = Figure((), bar.meter.compound)
    return bar.with_figures({place: silent if figure is None else figure for place, figure in said.items()})


def beat_alone(passage: Passage, beat: int) -> Passage:
    """One beat (from 1) of the passage's figures, with sticks on the beats before and on the one after.

    Without a pulse around it a figure could be any of several.  A click of the bar's own is left out: one on this
    beat alone would be heard as a stroke of the figure.
    """
    strokes = [
        replace(stroke, bar=0, beat=LEAD_IN + 1)
        for stroke in passage.strokes
        if stroke.bar == passage.figure_bar and stroke.beat == beat and stroke.instrument != "click"
    ]
    pulse = [Stroke(0, place, Fraction(0), "sticks", FIGURE) for place in (*range(1, LEAD_IN + 1), LEAD_IN + 2)]
    meter = meter_for(LEAD_IN + 2, passage.meter.compound)
    return replace(passage, meter=meter, bars=1, figure_bar=0, strokes=(*pulse, *strokes))


def repeated(once: Hearing, times: int = LOOPS) -> Hearing:
    """The figures' bar so many times without a break; what leads in to it comes once."""
    passage = once.passage
    lead_in = [stroke for stroke in passage.strokes if stroke.bar < passage.figure_bar]
    figures = [stroke for stroke in passage.strokes if stroke.bar == passage.figure_bar]
    strokes = lead_in + [replace(stroke, bar=stroke.bar + k) for k in range(times) for stroke in figures]
    longer = replace(passage, bars=passage.figure_bar + times, strokes=tuple(strokes))
    return replace(once, passage=longer, words=once.words + (times - 1) * once.words[-1:], loop=times > 1)


def in_turn(first: Hearing, second: Hearing) -> Hearing:
    """Two passages of one meter and tempo in one, at one level.

    Between whole bars one bar is counted, so that each is placed on a pulse; beats that are heard alone
    bring their own sticks.
    """
    return _joined(first, second, [] if second.beat is not None else [_counted(second.passage)])


def _joined(first: Hearing, second: Hearing, counted: Sequence[tuple[Stroke, ...]] = ()) -> Hearing:
    """Two hearings in one, with ``counted`` bars between them; of the second its figures alone."""
    start = first.passage.bars + len(counted)
    # Its count-in and groove are left out: the pulse is there already.
    played = [stroke for stroke in second.passage.strokes if stroke.bar >= second.passage.figure_bar]
    shift = start - second.passage.figure_bar
    strokes = [replace(stroke, bar=stroke.bar + first.passage.bars) for bar in counted for stroke in bar]
    strokes += [replace(stroke, bar=stroke.bar + shift) for stroke in played]
    words = second.words[second.passage.figure_bar :]
    passage = replace(first.passage, bars=start + len(words), strokes=(*first.passage.strokes, *strokes))
    return replace(first, passage=passage, words=(*first.words, *["Count-in"] * len(counted), *words))


def _counted(passage: Passage) -> tuple[Stroke, ...]:
    return tuple(Stroke(0, beat, Fraction(0), "sticks", FIGURE) for beat in range(1, passage.meter.beats + 1))
