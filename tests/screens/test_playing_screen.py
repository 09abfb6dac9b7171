"""Play it back on the screen: strokes come as keys, through the window's own loop."""

import pytest

from game.cli.history import described
from game.screens.home.home import Home
from game.screens.playing.playing import PlayItBack, open_playing
from game.screens.practice.question import open_practice
from shared.sticking import natural
from tests.screens.window import Window, key_down


def play(window: Window, late: float = 0.0, left_out: int = 0, cued: bool = True) -> None:
    """Begin a take and play its bar, every other stroke late and early in turn, but the last few strokes."""
    window.press("space")
    run, playing = window.top._run, window.top.playing
    beat = run.hearing.passage.beat_seconds
    onsets = [place + float(at) for place, at in playing.bar.onsets()]
    hands = [hand for hands in natural(playing.bar, playing.lead) for hand in hands]
    strokes = list(zip(onsets, hands, strict=True))[: max(0, len(onsets) - left_out)]
    if cued and strokes:
        strokes = [(-2.0, "R"), (-1.0, "L"), *strokes]
    for number, (place, hand) in enumerate(strokes):
        window.device.where = run.begins + place * beat + late * (-1) ** number
        window.press("j" if hand == "R" else "f")
    window.device.where = run.ends
    window.frames(2)


@pytest.fixture
def on_page(window: Window) -> Window:
    window.show(open_playing(window.context))
    return window


def test_home_leads_to_it(window: Window) -> None:
    """A key of the first page opens it."""
    window.show(Home(window.context))
    window.press("y")
    assert isinstance(window.top, PlayItBack)


def test_a_bar_as_written(on_page: Window) -> None:
    """It is read as written, the tempo climbs by 6, and take and answers are kept, of the ability of playing."""
    window = on_page
    bar, tempo = window.top.playing.bar, window.top.playing.tempo
    play(window, late=0.004)
    records, player = window.context.records, window.context.player
    assert window.top.playing.played.reading.figures == bar.figures
    assert f"Next bar, at {tempo + 6:.0f}" in window.texts()
    (take,) = records.takes(player)
    answers = records.answers(player)
    assert len(take.strokes) == 2 + len(list(bar.onsets()))
    assert {stroke.hand for stroke in take.strokes} == {"R", "L"}
    assert [(row.ability, row.said == row.heard) for row in answers] == [("playing", True)] * 4
    assert records.known(player, [figure.count for figure in bar.figures], window.clock.now) == []
    window.press("return")
    assert window.top.playing.bar != bar
    assert window.top.playing.played is None


def test_another_bar_is_told_as_it_was_played(on_page: Window) -> None:
    """Strokes left out make another figure: one sentence says so, and the tempo falls."""
    window = on_page
    tempo = window.top.playing.tempo
    play(window, left_out=1)
    assert "written is" in window.texts()
    assert window.top.playing.tempo == tempo - 6
    window.press("w", "a", "c")
    assert len(window.device.played) == 4


def test_a_take_without_a_stroke(on_page: Window) -> None:
    """Nothing came in: nothing is kept and the tempo stays."""
    window = on_page
    tempo = window.top.playing.tempo
    play(window, left_out=100)
    assert "Nothing came in." in window.texts()
    assert window.top.playing.tempo == tempo
    assert window.context.records.takes(window.context.player) == []
    assert window.context.records.count_answers(window.context.player) == 0


def test_only_a_take_makes_hands_of_keys(on_page: Window) -> None:
    """F and J are hands while a take runs; a take that is broken off leaves nothing."""
    window = on_page
    window.press("f")
    assert not window.top.taking
    window.press("space")
    window.device.where = 0.5
    window.app.handle(key_down("j"))
    assert [stroke.name for stroke in window.top._struck] == ["j"]
    window.press("escape")
    assert not window.top.taking
    assert window.context.records.takes(window.context.player) == []


def test_playing_leaves_what_is_known_of_hearing(window: Window) -> None:
    """The coach, the standing and the counters of progress are the same before a take and after it."""
    context = window.context
    window.show(open_practice(context))
    window.say_right()
    window.press("return")
    context.standing(context.level)  # what is kept of it is rounded
    standing, recall = context.standing(context.level), context.coach().recall(window.clock.now).tolist()
    told = described(context.records, context.player, context.data_folder)
    window.clock.now += 60
    window.show(open_playing(context))
    play(window, left_out=1)
    assert context.records.answers(context.player)[-1].ability == "playing"
    assert context.standing(context.level) == standing
    window.clock.now -= 60
    assert context.coach().recall(window.clock.now).tolist() == recall
    assert described(context.records, context.player, context.data_folder) == told
