"""A chart in the window: followed, asked about, found by ear, printed and written."""

from game.screens.fills.files import ChartFiles
from game.screens.reading.charts import ChartPage, open_charts
from game.screens.reading.reading import ReadingStart
from tests.screens.window import Window


def opened(window: Window) -> ChartPage:
    window.show(ReadingStart(window.context))
    window.press("3")
    assert isinstance(window.top, ChartPage)
    return window.top


def sounding(window: Window) -> list[str]:
    return [widget.name for widget in window.top.widgets if getattr(widget, "sounds", False)]


def test_the_mark_follows_what_sounds(window: Window) -> None:
    """The bar that is heard is marked, with repeats played out; without the mark, and in a question, none is."""
    page = opened(window)
    window.press("l", "space")
    bar = 60 / page.setting.tempo * 4
    # A bar of count-in, four bars, and the second time of the first bar.
    window.device.where = 5.1 * bar
    window.frames(2)
    assert sounding(window) == ["bar 1"]
    window.press("m")
    window.frames(2)
    assert sounding(window) == []
    window.press("m", "1", "space")
    window.device.where = 2.1 * bar
    window.frames(2)
    assert sounding(window) == []


def test_which_bar_is_asked_after_it_was_heard(window: Window) -> None:
    """Nothing is said before a hearing; then a bar of the page, or its number, answers."""
    page = opened(window)
    window.press("1", "4")
    assert page._asking is not None
    assert page._asking.said == ()
    window.press("space")
    answer = page._asking.question.steps[0].answer
    window.click(f"bar {answer + 1}")
    assert "Right." in window.texts()
    assert "1 of 1 right" in window.texts()
    window.press("return")
    assert page._asking.said == ()
    window.press("escape", "escape")
    assert window.app is not None
    assert not window.app.stack or not isinstance(window.top, ChartPage)


def test_a_wrong_answer_ends_the_question_and_shows_both(window: Window) -> None:
    """The right bar and the one that was said are framed, and a sentence tells what was."""
    page = opened(window)
    window.press("2", "space")
    assert page._asking is not None
    answer = page._asking.question.steps[0].answer
    window.press("1" if answer else "2")
    assert "Not so." in window.texts()
    tones = {widget.name: widget.tone for widget in window.top.widgets if getattr(widget, "tone", "")}
    assert tones == {f"bar {answer + 1}": "right", f"bar {2 if not answer else 1}": "wrong"}


def test_what_was_played_is_named_by_its_figure(window: Window) -> None:
    """After the bar comes the figure; both right is one question right."""
    page = opened(window)
    window.press("2", "space")
    assert page._asking is not None
    which, what = page._asking.question.steps
    window.press(str(which.answer + 1), str(what.answer + 1))
    assert "1 of 1 right" in window.texts()


def test_by_ear_hides_the_page_until_all_is_said(window: Window) -> None:
    """Three questions in turn, with the figure alone in sight; then the chart is seen."""
    page = opened(window)
    window.press("3", "space")
    assert not [name for name in window.names() if name.startswith("bar ")]
    assert page._asking is not None
    for step in page._asking.question.steps:
        window.press(str(step.answer + 1))
    assert "Right. It came" in window.texts()
    assert [name for name in window.names() if name.startswith("bar ")]


def test_a_chart_is_printed_and_written(window: Window) -> None:
    """A page goes to the reports; files go where files of fills go."""
    opened(window)
    window.press("p", "f")
    assert isinstance(window.top, ChartFiles)
    window.press("3")
    (page,) = (window.context.data_folder / "reports").iterdir()
    (file,) = (window.context.data_folder / "fills").iterdir()
    assert page.read_bytes()[:5] == b"%PDF-"
    assert "<repeat" not in file.read_text()


def test_another_chart_is_another(window: Window) -> None:
    """N draws another one, L a longer one."""
    page = opened(window)
    before = page._chart
    window.press("n")
    assert page._chart != before
    window.press("l")
    assert len(page._chart.heard) == 12


def test_a_page_reads_the_records_before_it_is_made(window: Window) -> None:
    """The figures of a chart are those that the player holds, or the level's first."""
    page = open_charts(window.context)
    assert len(page._figures) >= 2
