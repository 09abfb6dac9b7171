"""A chart in the window: followed, asked about, found by ear, printed and written."""

import numpy as np
import pytest

from game.screens.fills.files import ChartFiles
from game.screens.playing.ears import SOUND_DELAY
from game.screens.reading.charts import ChartPage, open_charts
from game.screens.reading.play_chart import PlayChart
from game.screens.reading.reading import ReadingStart
from game.sessions.inputs import Input
from shared.counting import parse_figure
from shared.figures import Figure
from tests.playing import chart_strokes
from tests.screens.window import Window, key_down
from tests.stand_ins import drummed, with_microphone


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


def test_what_sounds_slower_is_stopped_by_its_own_key(window: Window) -> None:
    """S says so while it sounds, on the chart and where it is asked about."""
    opened(window)
    for keys in ((), ("1",)):
        assert "slower" in window.texts()
        window.press(*keys, "s")
        assert "slower" not in window.texts()
        window.press("s")
        assert window.device.where is None
        assert "slower" in window.texts()


def test_which_bar_is_asked_after_it_was_heard(window: Window) -> None:
    """Nothing is said before a hearing; then a bar of the page, or its number, answers."""
    page = opened(window)
    window.press("1", "4")
    assert page.asking is not None
    assert page.asking.said == ()
    window.press("space")
    answer = page.asking.question.steps[0].answer
    window.click(f"bar {answer + 1}")
    assert "Right." in window.texts()
    assert "1 of 1 right" in window.texts()
    window.press("return")
    assert page.asking.said == ()
    window.press("escape", "escape")
    assert window.app is not None
    assert not window.app.stack or not isinstance(window.top, ChartPage)


def test_a_wrong_answer_ends_the_question_and_shows_both(window: Window) -> None:
    """The right bar and the one that was said are framed, and a sentence tells what was."""
    page = opened(window)
    window.press("2", "space")
    assert page.asking is not None
    answer = page.asking.question.steps[0].answer
    window.press("1" if answer else "2")
    assert "Not so." in window.texts()
    tones = {widget.name: widget.tone for widget in window.top.widgets if getattr(widget, "tone", "")}
    assert tones == {f"bar {answer + 1}": "right", f"bar {2 if not answer else 1}": "wrong"}


def test_what_was_played_is_named_by_its_figure(window: Window) -> None:
    """After the bar comes the figure; both right is one question right."""
    page = opened(window)
    window.press("2", "space")
    assert page.asking is not None
    which, what = page.asking.question.steps
    window.press(str(which.answer + 1), str(what.answer + 1))
    assert "1 of 1 right" in window.texts()


def test_by_ear_hides_the_page_until_all_is_said(window: Window) -> None:
    """Three questions in turn, with the figure alone in sight; then the chart is seen."""
    page = opened(window)
    window.press("3", "space")
    assert not [name for name in window.names() if name.startswith("bar ")]
    assert page.asking is not None
    for step in page.asking.question.steps:
        window.press(str(step.answer + 1))
    assert "Right. It came" in window.texts()
    assert [name for name in window.names() if name.startswith("bar ")]


def test_a_chart_is_printed_and_written(window: Window) -> None:
    """A page goes to the reports; files go where files of fills go."""
    opened(window)
    window.press("p", "w")
    assert isinstance(window.top, ChartFiles)
    window.press("3")
    (page,) = (window.context.data_folder / "reports").iterdir()
    (file,) = (window.context.data_folder / "fills").iterdir()
    assert page.read_bytes()[:5] == b"%PDF-"
    assert "<repeat" not in file.read_text()


def test_another_chart_is_another(window: Window) -> None:
    """N draws another one, L a longer one."""
    page = opened(window)
    before = page.chart
    window.press("n")
    assert page.chart != before
    window.press("l")
    assert len(page.chart.heard) == 12


def test_a_page_reads_the_records_before_it_is_made(window: Window) -> None:
    """The figures of a chart are those that the player holds, or the level's first."""
    page = open_charts(window.context)
    assert len(page.figures) >= 2


def play_along(window: Window, otherwise: dict[tuple[int, int], Figure] | None = None, late: float = 0.0) -> PlayChart:
    """Open a chart, begin to play it and strike its fills by keys, each some 4 ms off, all of them late in seconds."""
    if window.app is None:
        opened(window)
        window.press("y")
    window.press("space")
    page = window.top
    run = page.run
    beat = run.hearing.passage.beat_seconds
    for number, place in enumerate(chart_strokes(page.playing.chart, otherwise)):
        page.strike(Input("keys", "j", run.begins + place * beat + late + 0.004 * (-1) ** number))
    window.device.where = run.ends
    window.frames(2)
    return page


def tones(window: Window) -> dict[str, str]:
    return {widget.name: widget.tone for widget in window.top.widgets if getattr(widget, "tone", "")}


def test_a_chart_is_played_along(window: Window) -> None:
    """The fills are read, the page shows the bars, and takes, answers and timing are kept."""
    play_along(window)
    assert "2 of 2 fills as written." in window.texts()
    assert tones(window) == {"bar 4": "right", "bar 8": "right"}
    records, player = window.context.records, window.context.player
    asked = sum(len(fill.played) for fill in window.top.playing.chart.fills if fill)
    answers = records.answers(player)
    assert [(row.ability, row.said == row.heard) for row in answers] == [("reading", True)] * asked
    assert len(records.takes(player)) == 2
    kept = window.top.playing.played.to_keep
    assert [take.question for take in records.takes(player)] == [name for name, _ in kept.answers]
    # Once more by the chart's page it is no longer played at sight.
    window.press("escape", "y")
    assert window.top.playing.heard


@pytest.mark.parametrize("late", [0.15, 0.2, 0.3])
def test_a_chart_is_read_through_late_sound(window: Window, late: float) -> None:
    """With wireless headphones every stroke comes late, those along with the count-in too: the fills are read."""
    page = play_along(window, late=late)
    assert "2 of 2 fills as written." in window.texts()
    assert page.playing.played.reading.offset == pytest.approx(late, abs=0.02)


def test_a_bar_that_was_otherwise_is_seen_and_heard(window: Window) -> None:
    """It is signed, drawn as it was played, and heard either way; another bar is chosen by a key or a click."""
    other = parse_figure("1 a")
    opened(window)
    window.press("y")
    place = window.top.playing.chart.fills[3].played[-1]
    play_along(window, {(3, place): other})
    assert tones(window) == {"bar 4": "wrong", "bar 8": "right"}
    assert f"you played {other.count_on(place + 1)}, written is" in window.texts()
    assert "notes" in window.names()
    heard = len(window.device.played)
    window.press("w", "a", "c")
    assert len(window.device.played) == heard + 3
    window.press("right")
    assert "Bar 5: left to the groove." in window.texts()
    assert "notes" not in window.names()
    window.click("bar 8")
    assert "Bar 8: as written." in window.texts()
    window.press("space")
    assert window.top.taking


def test_nothing_came_in_is_said(window: Window) -> None:
    """With what would do; no bar is signed and nothing is kept."""
    opened(window)
    window.press("y", "space")
    window.device.where = window.top.run.ends
    window.frames(2)
    assert "Nothing came in." in window.texts()
    assert tones(window) == {}
    assert window.context.records.takes(window.context.player) == []


def test_the_mark_moves_while_it_is_played_and_can_be_off(window: Window) -> None:
    """Only the strip under the bar is painted anew; without the mark nothing moves but the word."""
    opened(window)
    window.press("y", "space")
    page = window.top
    beat = page.run.hearing.passage.beat_seconds
    window.device.where = page.run.begins + 5.5 * beat
    window.frames(2)
    assert page.marked == (1, 1)
    window.device.where = page.run.begins + 6.5 * beat
    parts = page.tick(0.0)
    assert (page.marked, page.stale) == ((1, 2), False)
    assert 0 < max(part.h for part in parts) < window.widget("bar 1").rect.h // 2
    window.press("escape", "m", "space")
    window.device.where = window.top.run.begins + 5.5 * beat
    window.frames(2)
    assert page.marked is None
    assert page.sounding() == "Bar 2"


def test_slower_and_what_it_is_played_on(window: Window) -> None:
    """S goes through the tempi; only while it is played are keys hands; D leads to what is played on."""
    opened(window)
    window.press("y")
    tempo = window.top.playing.setting.tempo
    window.press("s")
    assert window.top.playing.setting.tempo == pytest.approx(0.75 * tempo)
    assert "Three-quarter tempo" in window.texts()
    window.press("f")
    assert not window.top.taking
    window.press("space")
    window.device.where = 1.0
    assert window.app is not None
    window.app.handle(key_down("j"))
    assert [stroke.name for stroke in window.top.struck] == ["j"]
    window.press("escape", "d")
    assert "What you play on" in window.texts()


def test_a_chart_by_the_microphone(window: Window) -> None:
    """A drum in the room is read bar by bar; a silent one is told."""
    room = with_microphone(window.context)
    opened(window)
    window.press("y")
    assert "Only the click sounds" in window.texts()
    window.press("space")
    page = window.top
    run = page.run
    beat = run.hearing.passage.beat_seconds
    times = [SOUND_DELAY + run.begins + place * beat for place in chart_strokes(page.playing.chart)]
    room.hear(drummed(times, run.ends + 0.5))
    window.device.where = run.ends
    window.frames(2)
    assert "2 of 2 fills as written." in window.texts()
    assert {take.source for take in window.context.records.takes(window.context.player)} == {"microphone"}
    window.press("space")
    room.hear(np.zeros(48_000))
    window.device.where = 200.0
    window.frames(2)
    assert "not muted" in window.texts()
