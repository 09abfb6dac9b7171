"""The parts that pages of call and answer share: their heading, and a reply under its call, each as notation."""

from collections.abc import Sequence

from pygame import Rect

from game.engraving.surface import on_one_scale
from game.screens.base import Heading
from game.screens.context import Context
from game.screens.playing.devices import on_words
from game.sessions.inputs import MICROPHONE, InputDevice
from game.sessions.playing.calls import CallPlan
from game.sessions.playing.replies import Reply, ReplyRule
from game.widgets.base import Label, Widget
from game.widgets.boxes import rows
from game.widgets.look import Look
from game.widgets.notation import WRONG, Staff, line_in
from game.widgets.stave import LARGEST_SPACE, WIDEST_BEAT
from shared.figures import Figure
from shared.levels import Level, spelled
from shared.notation.engraved import INK, Layout
from shared.notation.page import Dress, lay_out_bar

TITLE = "Call and answer"

Written = tuple[str, Sequence[Figure | None], Sequence[int]]
"""A bar on the page: what it is, its figures, and the beats, from 0, that are marked as wrong."""


ALONG = "Strike along with the count-in: it shows how late your sound is."
HEADPHONES = "Play near the microphone, with headphones on: it would take the groove for strokes of yours."


def along_words(instrument: InputDevice) -> str:
    """The words for what to strike, and when first; a microphone hears nobody in the count-in."""
    return HEADPHONES if instrument.source == MICROPHONE else f"{on_words(instrument)} {ALONG}"


def call_heading(context: Context, plan: CallPlan, number: int) -> Heading:
    """The heading while calls sound; ``number`` of them are answered."""
    many = len(plan.calls)
    left = f"{plan.rule.value}\n{context.tempo_words(plan.setting.tempo)}"
    return Heading(TITLE, left, f"Call {min(number + 1, many)} of {many}")


def reply_view(look: Look, box: Rect, level: Level, reply: Reply, advice: str = "") -> list[Widget]:
    """A reply in words, with ``advice``, and under them the call and the reply on one scale of time."""
    sentence = f"{reply.sentence(level.as_shown)} {advice}".strip()
    # Only where the same was asked for is another figure a mistake.
    wrong = reply.rule is ReplyRule.SAME and not reply.kept
    said, bars = rows(box, [look.height(sentence, box.w, "lead", True), None], look.u(8))
    found: list[Widget] = [
        Label("reply", said, sentence, "lead", bold=True, colour="warn" if wrong else "ink", middle=True)
    ]
    written: list[Written] = [("The call", reply.call.figures, ())]
    if any(reply.figures):
        written.append(("Your answer", reply.figures, reply.changed if wrong else ()))
    lines = rows(bars, [part for _ in written for part in (look.line(), None)], look.u(4))
    # Measured by the first bar's stave: the others are as high.
    size, largest = lines[1].size, look.u(LARGEST_SPACE)
    layouts, space = on_one_scale(lambda beat: _laid_out(level, written, beat), size, largest, WIDEST_BEAT)
    for place, ((words, _, _), layout) in enumerate(zip(written, layouts, strict=True)):
        above, stave = lines[2 * place : 2 * place + 2]
        left = stave.x + (stave.w - round(layout.width * space)) // 2
        found += [
            Label(f"words {place}", above, words, colour="quiet", middle=True),
            Staff(f"staff {place}", stave, layout, space, left, stave.y + line_in(stave.h, [layout], space)),
        ]
    return found


def _laid_out(level: Level, written: Sequence[Written], least_beat: float) -> list[Layout]:
    dress = Dress(spelled(level), least_beat=least_beat)
    return [
        lay_out_bar(level.meter, figures, dress, [WRONG if place in wrong else INK for place in range(len(figures))])
        for _, figures, wrong in written
    ]
