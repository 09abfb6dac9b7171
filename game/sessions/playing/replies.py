"""Replies to calls: what came back, judged by its figures and never by its timing, and the lot as one chart."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum

from game.sessions.fills.draft import blank
from game.sessions.fills.playing_in import taken_in
from game.wording import counted, in_words, number_word, numbered
from shared.bars import Bar
from shared.charts import Chart
from shared.figures import Figure
from shared.fills import Fill, FillBeat, fill_of
from shared.reading import NOTHING, SLOWER, UNCLEAR, Reading

Shown = Callable[[str], str]
"""Writes a count in the words of a level: see ``Level.as_shown``."""


class ReplyRule(Enum):
    """The rules for a reply: the call by ear, another bar of the figures allowed, the call with one beat changed."""

    SAME = "The same"
    OTHER = "Another fill"
    CHANGED = "One beat changed"


KEPT = {
    ReplyRule.SAME: "the same as the call",
    ReplyRule.OTHER: "another fill of the figures allowed",
    ReplyRule.CHANGED: "the call with one beat changed",
}
"""A reply that keeps its rule, in words."""

UNREAD = {
    NOTHING: "Nothing came in.",
    SLOWER: "The strokes lie too far apart to tell the figures: try it slower.",
    UNCLEAR: "No figures can be made out: play nearer to the microphone, or where it is quieter.",
}
"""The sentence on a reply of which nothing is told, by the verdict of its reading."""


@dataclass(frozen=True)
class Reply:
    """A reply to a call; its figures count, and never its drums: two keys have but one sound.

    ``figures`` are what was played or picked, None where that is not sure; ``allowed`` the figures that a reply may
    be made of; ``fill`` is how it is written, None where there is nothing to write.  ``verdict``: see ``Reading``;
    ``picked`` tells that it was not played.
    """

    call: Fill
    figures: tuple[Figure | None, ...]
    rule: ReplyRule
    allowed: tuple[Figure, ...]
    fill: Fill | None
    verdict: str = ""
    picked: bool = False

    @property
    def came(self) -> bool:
        """Whether anything came in."""
        return self.verdict != NOTHING

    @property
    def unsure(self) -> tuple[int, ...]:
        """The beats, from 0, that are not sure."""
        return tuple(beat for beat, figure in enumerate(self.figures) if figure is None)

    @property
    def changed(self) -> tuple[int, ...]:
        """The beats, from 0, that are sure and others than in the call."""
        pairs = enumerate(zip(self.figures, self.call.figures, strict=True))
        return tuple(beat for beat, (figure, called) in pairs if figure is not None and figure != called)

    @property
    def not_allowed(self) -> tuple[int, ...]:
        """The changed beats, from 0, whose figures are not among those allowed."""
        return tuple(beat for beat in self.changed if self.figures[beat] not in self.allowed)

    @property
    def kept(self) -> bool:
        """Whether it is what the rule asks for."""
        if self.unsure or self.not_allowed:
            return False
        many = len(self.changed)
        return {ReplyRule.SAME: many == 0, ReplyRule.OTHER: many > 0, ReplyRule.CHANGED: many == 1}[self.rule]

    def sentence(self, shown: Shown = str) -> str:
        """The outcome of the reply, in one sentence or two; counts as ``shown``."""
        if self.picked and not self.came:
            return "Nothing was picked."
        if self.verdict in UNREAD:
            return UNREAD[self.verdict]
        return " ".join(words for words in (self._what(shown), self._strange(shown)) if words)

    def _what(self, shown: Shown) -> str:
        if len(self.unsure) == len(self.figures):
            return "Not sure of any beat." if self.picked else "Not sure of any beat: play it more evenly, or slower."
        if self.unsure:
            told = (f"Not sure of {_beats(self.unsure)}.", f"Changed: {_beats(self.changed)}.")
            return " ".join(told if self.changed else told[:1])
        if not self.changed:
            return "The same: no beat was changed." if self.rule is ReplyRule.CHANGED else "The same."
        if self.rule is ReplyRule.OTHER:
            return f"Another: {shown(' '.join(self._counts(self.figures, range(len(self.figures)))))}."
        if len(self.changed) > 1:
            many = in_words(len(self.changed), "beat").capitalize()
            return f"{many} were changed: {numbered(self.changed)}."
        (now,), (was,) = (self._counts(figures, self.changed) for figures in (self.figures, self.call.figures))
        if self.rule is ReplyRule.SAME:
            return f"Another: {shown(now)} for {shown(was)}."
        return f"Beat {self.changed[0] + 1} was changed: {shown(now)} for {shown(was)}."

    def _strange(self, shown: Shown) -> str:
        """Figures that are not allowed; where the same was asked for it does not matter which other one it was."""
        if self.rule is ReplyRule.SAME or not self.not_allowed:
            return ""
        words = " and ".join(shown(one) for one in self._counts(self.figures, self.not_allowed))
        if len(self.not_allowed) == 1:
            return f"{words} is not among the figures allowed."
        return f"{words} are not among the figures allowed."

    @staticmethod
    def _counts(figures: Sequence[Figure | None], beats: Sequence[int]) -> list[str]:
        return [figure.count_on(beat + 1) for beat in beats if (figure := figures[beat])]


def _beats(beats: Sequence[int]) -> str:
    return f"beat {numbered(beats)}" if len(beats) == 1 else f"beats {numbered(beats)}"


def reply_played(call: Fill, reading: Reading, rule: ReplyRule, allowed: Sequence[Figure]) -> Reply:
    """A reply that was played, as it was read: strokes keep the drums and hands that are known."""
    fill = taken_in(blank(call.meter), reading)[0].fill
    # Silence is an answer too, where it is sure; only on the desk of fills the groove goes on in it.
    rests = {beat: FillBeat(figure, ()) for beat, figure in enumerate(reading.figures) if figure and figure.is_rest}
    fill = fill.with_beats(rests)
    return Reply(call, reading.figures, rule, tuple(allowed), fill if fill.played else None, reading.verdict)


def reply_picked(call: Fill, picks: Sequence[Figure | None], rule: ReplyRule, allowed: Sequence[Figure]) -> Reply:
    """A reply that was picked; None for a beat that was left empty, or to which "not sure" was said."""
    silent = Figure((), call.meter.compound)
    said = [beat for beat, figure in enumerate(picks) if figure and figure.onsets]
    bar = Bar(call.meter, tuple(figure or silent for figure in picks))
    fill = fill_of([bar], said) if said else None
    return Reply(call, tuple(picks), rule, tuple(allowed), fill, "" if any(picks) else NOTHING, picked=True)


def replies_chart(replies: Sequence[Reply], rest: int) -> Chart:
    """The piece as it was: so many bars of groove, a call and its reply, again and again.

    The groove also goes on where a reply is silent or not sure.  Half of the bars of groove are written, and repeated.
    """
    written = -(-rest // 2)
    phrase = written + 2
    fills: list[Fill | None] = []
    for reply in replies:
        fills += [*[None] * written, reply.call, reply.fill]
    meter = replies[0].call.meter
    silent = Bar(meter, (Figure((), meter.compound),) * meter.beats)
    # Of an odd number one bar comes once only, after those that are repeated.
    firsts = range(0, len(fills), phrase) if rest > 1 else ()
    return Chart(
        tuple(fill.bars[0] if fill else silent for fill in fills), fills=tuple(fills), phrase=phrase,
        repeats=tuple((first, first + rest // 2 - 1) for first in firsts),
    )  # fmt: skip


def summary(replies: Sequence[Reply]) -> str:
    """The outcome of all replies, in one to three sentences."""
    kept = sum(reply.kept for reply in replies)
    found = [f"{kept} of {counted(len(replies), 'answer')} kept the rule: {KEPT[replies[0].rule]}."]
    if nothing := sum(not reply.came for reply in replies):
        told = in_words(nothing, "call")
        found.append(f"To {told} nothing was picked." if replies[0].picked else f"To {told} nothing came in.")
    if unsure := sum(reply.came and bool(reply.unsure) for reply in replies):
        told = f"In {number_word(unsure)} a beat or more"
        found.append(f"{told} was left open." if replies[0].picked else f"{told} is not sure.")
    return " ".join(found)
