"""The end of call and answer: groove, calls and answers as they came, as a chart to be heard, printed and written."""

from collections.abc import Callable, Sequence
from dataclasses import replace

from pygame import Rect

from game.reports.chart_report import chart_report
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.fills.files import ChartFiles
from game.screens.hearing.hearing_screen import HearingScreen
from game.screens.playing.call_view import TITLE
from game.screens.saving import save_and_tell
from game.sessions.playing.calls import CallPlan
from game.sessions.playing.replies import Reply, replies_chart, summary
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import columns, rows
from game.widgets.chart_view import chart_view
from game.widgets.controls import TARGET, Button
from game.widgets.look import Look
from game.widgets.moves import Next, Pop, Push, Replace
from shared.charts import Chart, Spot
from shared.files import write_beside
from shared.notation.page import Dress

SLOWER = 0.75
"""The share of the tempo at which the chart is heard slower."""

WHOLE = "whole"
"""The token of the chart as it sounds."""

ASK = "Press a bar to see what that answer was. Beats that are not sure stand as groove."


class CallEnd(HearingScreen):
    """The lot as a chart.

    ``again`` makes the page for other calls by the same rule; ``setting`` is how the chart is heard.
    """

    def __init__(self, context: Context, plan: CallPlan, replies: Sequence[Reply], again: Callable[[], Screen]) -> None:
        super().__init__(context)
        self.plan, self._replies, self._again_page = plan, tuple(replies), again
        self.chart = replies_chart(replies, plan.rest)
        self._told = ""
        # With a crash on the 1 after each bar of calls and answers, as any chart is heard.
        self._usual = replace(plan.setting, landing=True)
        self.setting = self._usual
        self._sounding: Spot | None = None
        self.focus = "hear"

    def heading(self) -> Heading:
        answered, calls = len(self._replies), len(self.plan.calls)
        right = f"{calls} calls" if answered == calls else f"{answered} of {calls} calls"
        return Heading(TITLE, f"{self.plan.rule.value}\n{self.context.tempo_words(self.setting.tempo)}", right)

    def keys(self) -> Sequence[Key]:
        return (
            Key(self.context.bindings.key("hear"), "stop" if self.sounds(WHOLE) else "hear it", self._hear),
            Key("s", "slower", self._hear_slower),
            Key("p", "print", self._print),
            # No key that is a hand: whoever plays on into this page must not press one by that.
            Key("w", "files", self._files),
            Key("return", "other calls", self._again),
            Key("escape", "back", Pop),
        )

    def tick(self, now: float) -> list[Rect]:
        place = self._place()
        if place != self._sounding:
            self._sounding, self.stale = place, True
        return super().tick(now)

    def _place(self) -> Spot | None:
        """The bar that sounds and the beat in it."""
        where = self.context.sound.position()
        if where is None or self._begun is None:
            return None
        if not isinstance(self._begun, int):
            return self.chart.place_at(where, self.setting)
        # One call with its groove and answer sounds, a phrase of the chart.
        found = self._part(self._begun).place_at(where, self.setting)
        return (self.chart.phrase * self._begun + found[0], found[1]) if found else None

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words = self._told or summary(self._replies)
        told, ask, chart, buttons = rows(
            box, [look.height(words, box.w, "lead", True), look.height(ASK, box.w), None, look.u(TARGET)], look.u(8)
        )
        hear, again = columns(buttons, [None, None], look.u(16))
        return [
            Label("told", told, words, "lead", bold=True, middle=True),
            Label("ask", ask, ASK, colour="quiet", middle=True),
            *chart_view(look, chart, self.chart, self.setting, self._sounding, self._presses, self._tones,
                        self.context.level.shown),
            self.hear_button("hear", hear, "Hear it as a piece", WHOLE, self._hear,
                             key=self.context.bindings.key("hear")),
            Button("again", again, "Other calls", self._again, main=True, key="return"),
        ]  # fmt: skip

    @property
    def _tones(self) -> dict[int, str]:
        """The sign of each answer's bar: whether it kept the rule, where that could be told."""
        size = self.chart.phrase
        return {(number + 1) * size - 1: _tone(reply) for number, reply in enumerate(self._replies) if reply.came}

    def _presses(self, bar: int) -> Act:
        """Pressing a bar tells of its reply, and plays the groove, the call and the reply."""

        def act() -> Next:
            number = bar // self.chart.phrase
            sentence = self._replies[number].sentence(self.context.level.as_shown)
            self._told = f"Answer {number + 1} of {len(self._replies)}: {sentence}"
            self.setting = self._usual
            return self.hear(number, self._part(number).arranged(self.setting))

        return act

    def _part(self, number: int) -> Chart:
        return replies_chart(self._replies[number : number + 1], self.plan.rest)

    def _hear(self) -> Next:
        if not self.sounds(WHOLE):
            self.setting = self._usual
        return self.hear(WHOLE, self.chart.arranged(self.setting))

    def _hear_slower(self) -> Next:
        self._fall_silent()
        self.setting = self._usual.slower(SLOWER)
        return self.hear(WHOLE, self.chart.arranged(self.setting))

    def _again(self) -> Next:
        return Replace(self._again_page())

    def _print(self) -> Next:
        page = chart_report(
            self.chart, self._usual, TITLE, self.context.player.name, Dress(words=self.context.level.shown)
        )
        save_and_tell(self, f"calls of {self.context.player.name}", ".pdf", lambda path: write_beside(path, page))
        return None

    def _files(self) -> Next:
        return Push(ChartFiles(self.context, "Calls and answers", self.chart, self._usual))


def _tone(reply: Reply) -> str:
    return "unsure" if reply.unsure else "right" if reply.kept else "wrong"
