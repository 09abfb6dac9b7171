"""Lays out a bar or a figure on one line, as glyphs, blocks and words.

Figures stand on a one-line staff, arranged bars on the five-line staff of the kit (``shared.notation.kit_staff``).
Time runs to scale across the whole bar: equal times are equal widths.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from shared.bars import Bar, Meter
from shared.counting import Words, as_shown
from shared.figures import Figure
from shared.notation.engraved import INK, Layout
from shared.notation.notes import BeatVoice, Chord, Head
from shared.notation.spacing import NARROWEST_BEAT
from shared.notation.staves import ONE_LINE, Signs, StaffPlan, WordRow, lay_out
from shared.spelling import Spelling, spellings

COUNT_SIZE = 2.0
STICKING_SIZE = 1.7
"""The type sizes of the rows under the staff, in staff spaces."""

QUIET = "quiet"
"""The tone of the number under a beat that is still empty."""

Spelled = Mapping[Figure, Spelling]
Hands = Sequence[Sequence[str]]
"""The hands of each beat, one for each stroke, as ``shared.sticking`` gives them."""

NOTE = Chord((Head(0.0),))


@dataclass(frozen=True)
class Dress:
    """The dress of a bar: everything that goes with its notes.

    ``spelled`` says how to write figures that are not to have their usual spelling; ``count`` asks for
    the count under the notes, ``words`` for other words in it than the spellings have; ``hands`` gives
    the sticking to show under it; ``opening`` asks for clef and time signature, for the clef alone where
    the bar is not ``timed``; ``final`` for the bar line that ends a piece.  A beat is at least
    ``least_beat`` staff spaces wide, so that a bar can keep its width while beats are filled in.
    """

    spelled: Spelled | None = None
    count: bool = True
    hands: Hands | None = None
    opening: bool = True
    timed: bool = True
    final: bool = False
    least_beat: float = NARROWEST_BEAT
    words: Words = ()

    def spelling(self, figure: Figure) -> Spelling:
        """How a figure is to be written."""
        found = (self.spelled or {}).get(figure) or spellings(figure)[0]
        return replace(found, said=self.words) if self.words else found


PLAIN = Dress()
"""The usual spelling, count, clef and time signature; no sticking."""


def lay_out_bar(
    meter: Meter,
    figures: Sequence[Figure | None],
    dress: Dress = PLAIN,
    tones: Sequence[str] | None = None,
) -> Layout:
    """A bar of figures on one line; None stands for a beat that is still empty.

    ``tones`` gives each beat a tone, such as ``right``; all are ``ink`` without it.
    """
    # Beats that are empty have a tone too: the places of figures and tones stay the same.
    tones = tones or [INK] * len(figures)
    beats = tuple(zip(figures, tones, strict=True))
    return lay_out(
        StaffPlan(
            lines=ONE_LINE,
            beats=len(figures),
            voices=tuple((k, _voice(dress.spelling(f), tone)) for k, (f, tone) in enumerate(beats) if f is not None),
            rows=tuple(_rows(figures, tones, dress)),
            label=" ".join(_label(figure, number) for number, figure in enumerate(figures, 1)),
            opening=meter if dress.opening else None,
            least_beat=dress.least_beat,
            signs=Signs(final=dress.final),
            timed=dress.timed,
        )
    )


def lay_out_whole(bar: Bar, dress: Dress = PLAIN) -> Layout:
    """A finished bar of figures on one line."""
    return lay_out_bar(bar.meter, bar.figures, dress)


def lay_out_figure(
    figure: Figure,
    spelling: Spelling | None = None,
    count: bool = True,
    hands: Sequence[str] | None = None,
    tone: str = INK,
    least_beat: float = NARROWEST_BEAT,
) -> Layout:
    """A figure on its own, as on a tile: one beat of the line, with neither clef nor bar line.

    It is at least ``least_beat`` staff spaces wide, so that two can stand on one time scale.
    """
    spelling = spelling or spellings(figure)[0]
    return lay_out(
        StaffPlan(
            lines=ONE_LINE,
            beats=1,
            voices=((0, _voice(spelling, tone)),),
            rows=tuple(
                row
                for row in (
                    WordRow(count_words(spelling, 0, 1, tone), COUNT_SIZE) if count else None,
                    WordRow(hand_words(figure, 0, hands, tone), STICKING_SIZE) if hands else None,
                )
                if row
            ),
            label=figure.count,
            closed=False,
            least_beat=least_beat,
        )
    )


def _voice(spelling: Spelling, tone: str) -> BeatVoice:
    return BeatVoice(spelling, (NOTE,) * len(spelling.notes), lifted=True, tone=tone)


def _rows(figures: Sequence[Figure | None], tones: Sequence[str], dress: Dress) -> list[WordRow]:
    rows = []
    if dress.count:
        words = [
            _count(dress.spelling(figure) if figure else None, beat, tones[beat]) for beat, figure in enumerate(figures)
        ]
        rows.append(WordRow(sum(words, ()), COUNT_SIZE))
    if dress.hands is not None:
        known = [(beat, figure) for beat, figure in enumerate(figures) if figure is not None]
        hands = [hand_words(figure, beat, dress.hands[beat], tones[beat]) for beat, figure in known]
        rows.append(WordRow(sum(hands, ()), STICKING_SIZE))
    return rows


def _label(figure: Figure | None, number: int) -> str:
    return "_" if figure is None else " ".join(word for _, word in _counted(figure, number))


# (place in beats from the bar's start, text, tone) each.
TimedWords = tuple[tuple[float, str, str], ...]


def _count(spelling: Spelling | None, beat: int, tone: str) -> TimedWords:
    if spelling is None:
        return ((float(beat), str(beat + 1), QUIET),)
    return count_words(spelling, beat, beat + 1, tone)


def count_words(spelling: Spelling, beat: int, number: int, tone: str) -> TimedWords:
    """The count of a figure on a beat (from 0) that is counted ``number``, in the words that its spelling has."""
    return tuple((beat + at, as_shown(word, spelling.said), tone) for at, word in _counted(spelling.figure, number))


@lru_cache(maxsize=1024)
def _counted(figure: Figure, number: int) -> tuple[tuple[float, str], ...]:
    return tuple((float(at), word) for at, word in figure.counted_places(number))


def hand_words(figure: Figure, beat: int, hands: Sequence[str], tone: str) -> TimedWords:
    """The sticking of a figure on a beat (from 0); a stroke of a foot, with no hand, has no word."""
    return tuple((beat + float(at), hand, tone) for at, hand in zip(figure.onsets, hands, strict=True) if hand)
