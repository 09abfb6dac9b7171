"""What a round brought, and what to aim at next."""

from collections.abc import Callable
from dataclasses import replace

from game.learning.question import Question, Reason, question_id
from game.learning.staircase import FREELY, ONCE, TWO_BARS, UNCOUNTED
from game.sessions.practice.ahead import firmer, next_aim
from game.sessions.practice.round import PracticeRound
from shared.counting import parse_bar
from shared.levels import find_level
from shared.orchestration import ORCHESTRATIONS, Setting
from tests.sessions.test_practice import NOW, Asker

STAGE_3 = find_level("stage-3")
FASTEST = STAGE_3.tempo.high


class Walker(Asker):
    """Asks one bar a setting."""

    def __init__(self, settings: list[Setting], memory: int) -> None:
        super().__init__()
        self._settings = settings
        self._memory = memory
        self._number = 0

    def ask(self, _now: float) -> Question:
        bar = parse_bar("1 e & 2 & 3 e & a 4")
        setting = self._settings[self._number % len(self._settings)]
        self._number += 1
        name = question_id(self._number)
        return Question(bar, (0, 1, 2, 3), STAGE_3.figures, setting, Reason(""), name, memory=self._memory)


def done(settings: list[Setting], say: Callable[[PracticeRound], None], memory: int = FREELY) -> PracticeRound:
    """A round of as many bars as settings, each answered by ``say``."""
    practised = PracticeRound(Walker(settings, memory), lambda _question, _rows: None, NOW, bars=len(settings))
    while not practised.complete:
        practised.sheet.hear(NOW)
        say(practised)
        practised.answer(NOW)
        practised.go_on()
    return practised


def rightly(practised: PracticeRound) -> None:
    for figure in practised.question.asked_figures:
        practised.sheet.pick(figure)


def test_what_has_risen_most_comes_first() -> None:
    """Figures whose chance rose are told in the order of their rise; those that did not are left out."""
    figures = STAGE_3.figures[:4]
    found = firmer(figures, (0.5, 0.5, 0.9, 0.5), (0.6, 0.9, 0.9, 0.4))
    assert [one.figure for one in found] == [figures[1], figures[0]]
    assert (found[0].before, found[0].after) == (0.5, 0.9)


def test_a_mix_up_is_the_first_aim() -> None:
    """The most frequent mix-up is named with both figures."""

    def wrongly(practised: PracticeRound) -> None:
        for figure in practised.question.asked_figures:
            practised.sheet.pick(STAGE_3.figures[0] if figure.count == "1 &" else figure)

    aim = next_aim(done([Setting()] * 2, wrongly), STAGE_3)
    assert [figure.count for figure in aim.figures] == ["1 &", STAGE_3.figures[0].count]


def test_silence_and_replays_come_before_harder_bars() -> None:
    """Beats without an answer first, then the points that hearing again cost."""
    silent = next_aim(done([Setting()], lambda _: None), STAGE_3)
    assert "not sure" in silent.words
    assert silent.figures


def test_a_figure_taken_for_another_stands_before_one_left_open() -> None:
    """Of two that happened as often, the one that has a pair to hear comes first, whichever was asked first."""

    def first_open(practised: PracticeRound) -> None:
        _, *others = practised.question.asked_figures
        practised.sheet.not_sure()
        for figure in others:
            practised.sheet.pick(next(other for other in STAGE_3.figures if other != figure))

    found = done([Setting()], first_open).mix_ups()
    assert [one.said is None for one in found] == [False, False, False, True]

    def twice(practised: PracticeRound) -> None:
        practised.sheet.hear(NOW)
        rightly(practised)

    assert "one hearing" in next_aim(done([Setting()], twice), STAGE_3).words


def test_after_a_full_score_the_next_axis() -> None:
    """Round the kit, faster, in a groove, with a loose feel, each step of memory, and then the next stage."""
    ways = [Setting(name, STAGE_3.tempo.low) for name in STAGE_3.orchestrations]
    assert "round the kit" in next_aim(done(ways[:1], rightly), STAGE_3).words
    # A round without the plainest way, as a drill may be, leads on and not back to it.
    assert ORCHESTRATIONS[ways[2].orchestration].about in next_aim(done(ways[1:2], rightly), STAGE_3).words
    assert "faster" in next_aim(done(ways, rightly), STAGE_3).words
    fast = [replace(way, tempo=FASTEST) for way in ways]
    level = replace(STAGE_3, groove_bars=(0, 1))
    assert "groove" in next_aim(done(fast, rightly), level).words
    grooved = [replace(way, groove_bars=1) for way in fast]
    assert "loose feel" in next_aim(done(grooved, rightly), level).words
    loose = [replace(way, feel=0.5) for way in grooved]
    for memory, words in ((FREELY, "heard once"), (ONCE, "without a count-in"), (UNCOUNTED, "two bars")):
        assert words in next_aim(done(loose, rightly, memory), level).words
    assert next_aim(done(loose, rightly, TWO_BARS), level).words.endswith("Next: stage 4, Without the &.")
