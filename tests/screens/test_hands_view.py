"""Progress by hand: three abilities of a figure, what is played for what, and timing over weeks, on the page."""

from dataclasses import replace

from game.learning.question import question_id
from game.screens.playing.playing import PlayBar
from game.screens.practice.question import Practice, open_practice
from game.screens.progress.progress import open_progress, open_progress_of
from game.sessions.playing.playing import PlayingWay
from tests.screens.test_playing_screen import play, play_bar
from tests.screens.window import Window


def played_for_another(window: Window) -> None:
    """Eight answers by ear, all right, to two figures of the level, of which one is played as the other three times."""
    context = window.context
    window.show(open_practice(context))
    window.press("space")
    window.say_right()
    window.press("return")
    row = context.records.answers(context.player)[-1]
    figure, other = context.level.figures[:2]
    for number in range(12):
        at = window.clock.now - 1000 + number
        one = replace(row, at=at, heard=figure.count, said=figure.count, bar=figure.count, beat=0)
        context.keep(question_id("heard", number), (one,))
        said = other.count if number < 3 else figure.count
        context.keep(question_id("played", number), (replace(one, said=said, ability="playing"),))


def test_what_is_played_for_what_is_drilled_by_ear_then_by_hand(window: Window) -> None:
    """The mix-up is a sentence; one key leads to the ear, another to the hands, both with just these two figures."""
    played_for_another(window)
    figure, other = window.context.level.figures[:2]
    window.show(open_progress(window.context))
    window.press(*["right"] * 4)
    assert "You hear the first of these, and your hands play the second: 3 times." in window.texts()
    assert window.top.hands.mixed[0].figure == figure
    window.press("e")
    assert isinstance(window.top, Practice)
    assert set(window.top.round.question.bar.figures) == {figure, other}
    window.show(open_progress(window.context))
    window.press(*["right"] * 4)
    window.press("y")
    assert isinstance(window.top, PlayBar)
    assert set(window.top.playing.whole_bar.figures) <= {figure, other}
    assert window.top.playing.in_steps


def test_somebody_elses_hands_are_looked_at_alone(window: Window) -> None:
    """What is played for what is told and leads to no drill, whose answers would be kept as theirs."""
    played_for_another(window)
    context = window.context
    window.show(open_progress_of(context, context.player, context.level))
    window.press(*["right"] * 4)
    page = window.top
    assert "You hear the first of these" in window.texts()
    assert "by ear" not in window.names()
    window.press("e", "y")
    assert window.top is page


def test_timing_is_kept_with_each_take(window: Window) -> None:
    """Every stroke of a beat as written counts once, at its place and by its hand."""
    window.show(play_bar(window))
    play(window, late=0.004)
    (take,) = window.context.records.takes(window.context.player)
    counted = {one.name: one.strokes for one in take.timing}
    strokes = len(list(window.top.playing.bar.onsets()))
    assert counted["all"] == strokes
    assert counted.get("left hand", 0) + counted.get("right hand", 0) == strokes


def test_a_bar_at_sight_tells_of_reading_once(window: Window) -> None:
    """The first time from the page is reading; again, it is playing."""
    window.show(play_bar(window, PlayingWay.WRITTEN))
    play(window, late=0.004)
    play(window, late=0.004)
    rows = window.context.records.answers(window.context.player)
    assert [row.ability for row in rows] == ["reading"] * 4 + ["playing"] * 4


def test_the_table_is_saved(window: Window) -> None:
    """The abilities go into a table, a line each."""
    played_for_another(window)
    window.show(open_progress(window.context))
    window.press(*["right"] * 4)
    window.press("t")
    (path,) = (window.context.data_folder / "reports").glob("*.csv")
    assert path.read_text(encoding="utf-8").splitlines()[0] == "figure,ability,right,answers"
