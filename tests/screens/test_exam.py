"""A mock exam on the screen."""

import re
from datetime import timedelta

import pygame
import pytest

from game.records import RecordsError
from game.screens.exam.result import ExamEnd, open_result
from game.screens.exam.room import ExamRoom
from game.screens.exam.start import ExamStart
from game.screens.home.home import Home
from game.screens.notices.unkept import Unkept
from game.screens.practice.question import Practice
from game.screens.progress.plan import PlanPage
from game.sessions.exam.exam import ExamStage
from game.sessions.settings.bindings import TILE_KEYS
from game.wording import DAY_SECONDS, day_words, local_day, weekday_words
from tests.screens.window import Opened, Window, key_down


def sit(window: Window) -> ExamRoom:
    """Begin an exam from its first page."""
    window.show(ExamStart(window.context))
    window.press("return")
    assert isinstance(window.top, ExamRoom)
    return window.top


def answer(window: Window, right: bool) -> None:
    """Hear the bar, say every beat, hand in."""
    window.device.where = None
    window.press("space")
    window.device.where = None
    figures = window.context.level.figures
    for figure in window.top.session.question.asked_figures:
        window.press(TILE_KEYS[(figures.index(figure) + (not right)) % len(figures)])
    window.press("return")


def answer_all(window: Window, right: bool) -> None:
    """Answer all ten bars, rightly or wrongly."""
    with window.unseen():
        for _ in range(10):
            answer(window, right)


def test_a_whole_exam(window: Window) -> None:
    """Seven bars right, three wrong: 28 of 40, a pass; answers and exam are in the records."""
    sit(window)
    for number in range(10):
        answer(window, right=number < 7)
    assert isinstance(window.top, ExamEnd)
    assert "28 of 40 beats right: pass." in window.texts()
    assert "4 more beats would have made a merit." in window.texts()
    told = [row.text.partition(" ")[0] for row in window.widget("beats").rows]
    assert (told[0], told[5]) == ("1.1", "2.2")
    assert "Bar.beat, heard and said" in window.texts()
    (exam,) = window.context.records.exams(window.context.player)
    assert (exam.state, exam.mark) == ("finished", 0.7)
    answers = window.context.records.answers(window.context.player)
    assert len(answers) == 40
    assert {row.kind for row in answers} == {"exam"}


def test_a_result_names_the_mark_before(window: Window) -> None:
    """Whoever sits again reads at once whether it went better; an exam broken off between the two has no mark."""
    for rights in (7, 0, 9):
        window.clock.now += 86_400
        sit(window)
        for number in range(10 if rights else 1):
            answer(window, right=number < rights)
        if not rights:
            window.press("escape", "tab", "return")
    assert isinstance(window.top, ExamEnd)
    assert "36 of 40 beats right: distinction." in window.texts()
    assert "There is no higher band. The exam before: 70%." in window.texts()


def test_the_result_leads_on(window: Window) -> None:
    """The largest mix-up is chosen and drawn: one key drills it, another opens the plan, and a day is named."""
    sit(window)
    answer_all(window, right=False)
    end = window.top
    assert isinstance(end, ExamEnd)
    window.frames(3)
    assert "Try again on " in window.texts()
    taken = end.result.mix_ups[0]
    assert {widget.name for widget in end.widgets} >= {"mixed 0", "mixed 1"}
    assert f"The first was taken for the second {taken.times} times." in window.texts()
    assert f"{taken.heard} for {taken.said}" not in window.texts()
    window.press("l")
    assert isinstance(window.top, PlanPage)
    window.press("escape", "return")
    assert isinstance(window.top, Practice)
    assert set(window.top.round.question.bar.figures) == {taken.heard, taken.said}


def test_the_rules_say_how_long_it_takes_and_what_leaving_means(window: Window) -> None:
    """The minutes hold for whoever uses every hearing; what becomes of an exam that is left stands there too."""
    window.show(ExamStart(window.context))
    level, rules = window.context.level, window.context.level.exam
    (told,) = re.findall(r"At most about (\d+) minutes?\.", window.texts())
    # Heard as an exam is: at the slowest and at the fastest, each bar as often as allowed, a few seconds for its beats.
    bars, seconds = 2 + max(level.groove_bars), {}
    for tempo, groove in ((level.tempo.low, bars), (level.tempo.high, 2)):
        seconds[tempo] = rules.questions * (rules.hearings * groove * 240 / tempo + 16)
    assert seconds[level.tempo.high] / 60 - 1 <= int(told) <= seconds[level.tempo.low] / 60 + 1
    assert "broken off: no mark, no going on; what you handed in is kept." in window.texts()


def test_the_exams_day_is_given_changed_and_forgotten(window: Window) -> None:
    """A key asks for it; what can't be read is told in a line; home counts the days; left empty, it is forgotten."""
    context = window.context
    window.show(ExamStart(context), Home(context))
    window.press("d")
    window.write("soon")
    window.press("return")
    assert "found 'soon'; write it like 9 December" in window.texts()
    day = local_day(context.now()) + timedelta(days=12)
    window.press("a", mod=pygame.KMOD_CTRL)
    window.write(day.isoformat())
    window.press("return")
    assert f"{weekday_words(day)}: in 12 days." in window.texts()
    assert context.records.settings(context.player).exam_days == {context.level.name: day.isoformat()}
    plan = PlanPage(context)
    plan.entered()
    assert plan.plan.days == round(12 * 5 / 7)
    window.press("d", "backspace", "return")
    assert context.exam_day(context.level) is None


def test_home_counts_the_days_to_the_exam(lived: Opened) -> None:
    """Whoever gave the day reads on home how far off it is, and what today and that day would bring."""
    window = lived((1024, 640))
    context = window.context
    context.choose_exam_day(context.level, local_day(context.now()) + timedelta(days=12))
    with window.unseen():
        window.show(Home(context))
        window.until(lambda: not window.top.unread)
    window.frames()
    assert "Exam in 12 days" in window.texts()
    assert "by then if you practise no more." in window.texts()


def test_the_forecast_comes_with_its_uncertainty(window: Window) -> None:
    """After the picture, the words: tries, a range, how few answers it rests on, and whose word it is not."""
    sit(window)
    answer_all(window, right=True)
    window.frames(3)
    texts = window.texts()
    for words in ("you would pass", "your mark would lie between", "40 answers, which is few", "not the exam board's"):
        assert words in texts


def test_an_earlier_exam_says_of_which_day_its_forecast_is(lived: Opened) -> None:
    """It sets beside its mark what practice made likely before it; opened later, its "today" has a date."""
    window = lived((1024, 640))
    context = window.context
    sit_after_its_forecast(window)
    answer_all(window, right=False)
    window.frames(3)
    told = re.search(r"practice made a mark of about (\d+)% likely; it came to 0%", window.texts())
    assert told
    assert int(told[1]) > 0
    assert "What it means for the real day" in window.texts()
    # In words too: where rows are narrow, nothing is drawn of what was said.
    beat = window.top.result.beats[0]
    assert f"said {context.level.named(beat.said)}" in window.texts()
    sat = day_words(context.now())
    window.clock.now += 3 * DAY_SECONDS
    (*_, exam) = context.records.exams(context.player, context.level.name)
    window.show(open_result(context, exam, "back"), Home(context))
    window.frames(3)
    assert f"What it meant on {sat}" in window.texts()
    assert f"{context.level.title}, {sat}" in window.texts()
    assert told[0] in window.texts()


@pytest.mark.parametrize("right", [True, False])
def test_readiness_takes_in_how_the_last_exam_went(lived: Opened, right: bool) -> None:
    """Home remembers that the last exam was failed, or that it was not."""
    window = lived((1024, 640))
    context = window.context
    sit(window)
    answer_all(window, right=right)
    for _ in context.working_out(context.level):
        pass
    ready = context.kept_readiness(context.level)
    assert ready is not None
    assert ready.failed is not right


def sit_after_its_forecast(window: Window) -> None:
    """Begin an exam once its first page has said how ready the player is."""
    window.show(ExamStart(window.context))
    window.until(lambda: "beats right" in window.texts())
    window.press("return")


def test_right_and_wrong_look_the_same_until_the_end(window: Window) -> None:
    """A bar answered wholly right and one wholly wrong leave the same pixels for the next bar."""
    pictures = []
    for right in (True, False):
        sit(window)
        answer(window, right)
        window.frames(2)
        pictures.append(bytes(window.canvas.get_view("2")))
    assert pictures[0] == pictures[1]


def test_a_bar_that_sounds_is_not_begun_again(window: Window) -> None:
    """Space while the bar sounds wastes no hearing; afterwards it takes the second and last one."""
    screen = sit(window)
    window.press("space")
    window.device.where = 1.0
    window.press("space")
    assert (screen.session.hearings, len(window.device.played)) == (1, 1)
    window.device.where = None
    window.press("space")
    window.device.where = None
    window.press("space")
    assert (screen.session.hearings, len(window.device.played)) == (2, 2)
    assert "No hearing is left" in window.texts()


def test_empty_beats_are_handed_in_only_on_purpose(window: Window) -> None:
    """The first Enter says that beats are empty, the second hands in."""
    screen = sit(window)
    window.press("space", "1", "return")
    assert "empty" in window.texts()
    assert screen.session.number == 1
    window.press("return")
    assert screen.session.number == 2


def test_a_bar_must_be_heard(window: Window) -> None:
    """Handing in before the first hearing is refused in words."""
    screen = sit(window)
    window.top.set_focus("done")
    window.press("return")
    assert "Hear the bar first." in window.texts()
    assert screen.session.number == 1


def test_breaking_off_is_kept_as_interrupted(window: Window) -> None:
    """Escape asks; then the exam is in the records as interrupted, with its first bar."""
    screen = sit(window)
    answer(window, right=True)
    window.press("escape")
    assert screen.session.stage is ExamStage.ASKING
    window.press("tab", "return")
    (exam,) = window.context.records.exams(window.context.player)
    assert exam.state == "interrupted"
    assert len(exam.detail) == 1
    assert isinstance(window.top, ExamEnd)
    assert "4 of the 4 beats that were handed in. Broken off, so there is no grade." in window.texts()


def test_breaking_off_at_once_ends_on_the_page_too(window: Window) -> None:
    """Without a bar handed in there is no mark, no beat and no mix-up to show; the plan is what is left."""
    sit(window)
    window.press("escape", "tab", "return")
    assert isinstance(window.top, ExamEnd)
    assert "Broken off before the first bar was handed in." in window.texts()
    assert "0%" not in window.texts()
    window.frames(3)
    window.press("return")
    assert isinstance(window.top, PlanPage)


def test_breaking_off_can_be_tried_again(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the records refuse at first, the same answer breaks the exam off as soon as they can be written."""
    room = sit(window)
    answer(window, right=True)
    records = window.context.records
    interrupt, refusals = records.interrupt_exam, [RecordsError("locked")]

    def once(*arguments: object) -> object:
        if refusals:
            raise refusals.pop()
        return interrupt(*arguments)

    monkeypatch.setattr(records, "interrupt_exam", once)
    window.press("escape", "tab", "return")
    assert isinstance(window.top, Unkept)
    window.press("escape", "return")
    assert room.session.stage is ExamStage.INTERRUPTED
    (exam,) = records.exams(window.context.player)
    assert exam.state == "interrupted"


def test_an_exam_is_in_the_records_from_its_start(window: Window) -> None:
    """If the program dies, the next start finds the exam and counts it as interrupted."""
    sit(window)
    answer(window, right=True)
    (exam,) = window.context.records.exams(window.context.player)
    assert (exam.state, len(exam.detail)) == ("running", 1)


def test_an_exam_that_can_not_be_read_has_its_mark(window: Window) -> None:
    """One from a history of another hand stands in the list with its mark; opened, it says in a sentence what lacks."""
    records, player = window.context.records, window.context.player
    exam = records.start_exam(player, window.context.level.name, {"questions": 10}, window.clock.now)
    records.finish_exam(player, exam, 0.5, [{"bar": 1}], window.clock.now)
    window.show(ExamStart(window.context))
    assert "50%" in window.texts().splitlines()
    window.top.set_focus("exams")
    window.press("return")
    assert "What was asked in this exam can't be read here" in window.texts()


def test_earlier_exams_are_opened_from_the_list(window: Window) -> None:
    """The list tells mark and band; Enter opens the result."""
    sit(window)
    answer_all(window, right=True)
    window.show(ExamStart(window.context))
    assert "100%, distinction" in window.texts()
    window.press("tab", "tab")
    assert window.top.focus == "exams"
    assert "open this exam" in window.texts()
    window.press("return")
    assert isinstance(window.top, ExamEnd)
    # The way back from here leads to the rules, and is called so; that from an exam just sat leads home.
    assert "Home" not in window.texts()
    window.press("p")
    assert len(list((window.context.data_folder / "reports").glob("mock-exam-*.pdf"))) == 1


def test_the_page_tells_the_forecast_that_is_printed(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who prints before the forecast stands on the page finds the same one there: it is drawn by lot only once."""
    sit(window)
    answer_all(window, right=False)
    drawn = iter(("The first forecast.", "Another forecast."))
    monkeypatch.setattr("game.screens.exam.result.forecast_words", lambda *_: (next(drawn),))
    end = ExamEnd(window.context, window.context.records.exams(window.context.player)[0])
    end.handle(key_down("p"))
    end.handle(key_down("p"))
    window.show(end)
    assert "The first forecast." in window.texts()
