"""Play it back on the screen: strokes come as keys, through the window's own loop."""

from collections.abc import Sequence
from types import SimpleNamespace

import numpy as np
import pytest

from game.cli.history import described
from game.learning import Answer
from game.learning.question import question_id
from game.screens.home.home import Home
from game.screens.playing.ears import HabitMemory
from game.screens.playing.playing import ALONG, PlayBar, new_playing
from game.screens.playing.saying import SayIt
from game.screens.playing.start import PlayingStart, open_playing
from game.screens.practice.question import open_practice
from game.screens.settings.tap_delay import TapDelay
from game.sessions.playing.playing import PlayingWay
from game.sessions.playing.report import HARDLY_READ
from shared.reading import Habits
from shared.sticking import natural
from tests.screens.window import NOW, Window, key_down
from tests.stand_ins import Kit, Room, drummed, with_microphone


def play(window: Window, late: float = 0.0, left_out: int = 0, cued: bool = True) -> None:
    """Begin a take and play its bar, every other stroke late and early in turn, but the last few strokes."""
    window.press("space")
    run, playing = window.top.run, window.top.playing
    beat, meter = run.hearing.passage.beat_seconds, playing.bar.meter.beats
    onsets = [place + float(at) for place, at in playing.bar.onsets()]
    hands = [hand for hands in natural(playing.bar, playing.lead) for hand in hands]
    strokes = list(zip(onsets, hands, strict=True))[: max(0, len(onsets) - left_out)]
    strokes = [(number * meter + place, hand) for number in range(run.rounds) for place, hand in strokes]
    if cued and strokes:
        strokes = [(-2.0, "R"), (-1.0, "L"), *strokes]
    for number, (place, hand) in enumerate(strokes):
        window.device.where = run.begins + place * beat + late * (-1) ** number
        window.press("j" if hand == "R" else "f")
    window.device.where = run.ends
    window.frames(2)


@pytest.fixture
def on_page(window: Window) -> Window:
    window.show(play_bar(window))
    return window


def play_bar(window: Window, way: PlayingWay = PlayingWay.BACK, in_steps: bool = False) -> PlayBar:
    """The page of one way of playing."""
    return PlayBar(window.context, new_playing(window.context, in_steps), way)


def test_home_leads_to_it(window: Window) -> None:
    """A key of the first page opens it."""
    window.show(Home(window.context))
    window.press("y")
    assert isinstance(window.top, PlayingStart)
    window.press("1")
    assert isinstance(window.top, PlayBar)
    window.press("escape")
    assert isinstance(window.top, PlayingStart)


def strike_at(window: Window, beats: Sequence[float]) -> None:
    """Begin a take and strike at these places, in beats from the bar."""
    window.press("space")
    run = window.top.run
    for place in beats:
        window.device.where = run.begins + place * run.hearing.passage.beat_seconds
        window.press("j")
    window.device.where = run.ends
    window.frames(2)


STRAY = (-0.3, 0.37, 0.61, 1.2, 1.37, 1.88, 2.13, 2.37, 2.6, 3.14, 3.4, 3.9)
"""Strokes that lie on no figure's places."""


def test_late_sound_is_read_and_told(on_page: Window) -> None:
    """By wireless headphones, a quarter of a second late: the bar is read, and the page leads to measuring that."""
    window = on_page
    playing = window.top.playing
    late = 0.25 * playing.tempo / 60
    strike_at(window, [late + place for place in (-2, -1, *(beat + float(at) for beat, at in playing.bar.onsets()))])
    assert playing.played.as_written
    assert "Is your sound wireless?" in window.texts()
    window.press("d", "t")
    assert isinstance(window.top, TapDelay)


def test_whoever_did_not_strike_along_is_asked_to(window: Window) -> None:
    """Late sound may be why a bar came out otherwise; with strokes along with the count-in it is not."""
    for cued in (False, True):
        window.show(play_bar(window))
        play(window, left_out=1, cued=cued)
        assert (ALONG in window.texts()) is not cued


def test_a_take_that_can_hardly_be_read_says_what_to_do(on_page: Window) -> None:
    """Strokes on no figure's places: the page says to strike along with the count-in, and where the delay is found."""
    strike_at(on_page, STRAY)
    assert HARDLY_READ in on_page.texts()


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
    assert not any(records.known(player, [figure.count for figure in bar.figures], window.clock.now))
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
    assert [stroke.name for stroke in window.top.struck] == ["j"]
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
    window.show(play_bar(window))
    play(window, left_out=1)
    assert context.records.answers(context.player)[-1].ability == "playing"
    assert context.standing(context.level) == standing
    window.clock.now -= 60
    assert context.coach().recall(window.clock.now).tolist() == recall
    assert described(context.records, context.player, context.data_folder) == told


def test_pads_are_played_through_the_loop(window: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Hits on a kit are strokes of the take, at their own times, each on its drum; the kit is let go of after it."""
    kit = Kit()
    monkeypatch.setattr("game.app.time", SimpleNamespace(perf_counter=lambda: window.device.where or 0.0))
    window.context.pads = kit.pads
    window.context.change_settings(play_on="pads", pads="Reed pad", pad_hands={"38": "R", "43": "L"})
    window.show(play_bar(window))
    window.press("space")
    run, playing = window.top.run, window.top.playing
    beat = run.hearing.passage.beat_seconds
    hands = [hand for hands in natural(playing.bar, playing.lead) for hand in hands]
    strokes = [(place + float(at), hand) for (place, at), hand in zip(playing.bar.onsets(), hands, strict=True)]
    for place, hand in [(-2.0, "R"), (-1.0, "L"), *strokes]:
        window.device.where = run.begins + place * beat + 0.005
        kit.strike(38 if hand == "R" else 43, age=0.005)
        window.frames()
    window.device.where = run.ends
    window.frames(2)
    assert playing.played.as_written
    assert playing.played.report.wrong_hands == ()
    (take,) = window.context.records.takes(window.context.player)
    assert (take.source, {stroke.drum for stroke in take.strokes}) == ("pads", {"snare", "floor-tom"})
    assert not window.context.pads.ready


def test_pads_that_are_not_there(window: Window) -> None:
    """A take does not begin without them: one line says what to do; plugged in, it begins."""
    kit = Kit(plugged=[])
    window.context.pads = kit.pads
    window.context.change_settings(play_on="pads", pads="Reed pad")
    window.show(play_bar(window))
    window.press("space")
    assert not window.top.taking
    assert "Plug them in" in window.texts()
    kit.plugged = ["Reed pad"]
    window.press("space")
    assert window.top.taking


@pytest.mark.parametrize("loud", [0.0, 0.5])
def test_a_drum_by_the_microphone(window: Window, loud: float) -> None:
    """With headphones or over loudspeakers a drum in the room is read as it was played; no sound is kept."""
    room = with_microphone(window.context)
    window.show(play_bar(window))
    room_open = room.open

    def opened(name: str, take: object) -> Room:
        found = room_open(name, take)
        room.hear(np.zeros(4800))
        return found

    room.open = opened  # type: ignore[method-assign]
    window.press("space")
    run, playing = window.top.run, window.top.playing
    beat, sound = run.hearing.passage.beat_seconds, window.device.played[-1]
    began = 0.05
    places = [-2.0, -1.0, *(place + float(at) for place, at in playing.bar.onsets())]
    heard = drummed([began + run.begins + place * beat for place in places], run.ends + 0.5)
    mixed = sound.astype(float).mean(1) / 32_768
    part = heard[round(began * 48_000) :]
    part[: len(mixed)] += loud * mixed[: len(part)]
    room.hear(heard)
    window.device.where = run.ends
    window.frames(2)
    assert playing.played.reading.figures == playing.bar.figures
    assert window.top.exact == (loud > 0)
    (take,) = window.context.records.takes(window.context.player)
    assert take.source == "microphone"
    assert not window.context.microphone.running


def test_a_microphone_that_is_refused_or_lost(window: Window) -> None:
    """Refused, no take begins; lost in mid-take, it ends; both say what to do, and nothing is kept."""
    room = with_microphone(window.context)
    room.refused = "access denied"
    window.show(play_bar(window))
    window.press("space")
    assert not window.top.taking
    assert "access denied" in window.texts()
    room.refused = ""
    window.press("space")
    assert window.top.taking
    room.now += 2
    window.frames()
    assert not window.top.taking
    assert "stopped in mid-take" in window.texts()
    assert window.context.records.takes(window.context.player) == []


def test_a_silent_microphone_is_told(window: Window) -> None:
    """A muted microphone gives no rests: nothing came in, and what would do."""
    room = with_microphone(window.context)
    window.show(play_bar(window))
    window.press("space")
    run = window.top.run
    room.hear(np.zeros(round(run.ends * 48_000)))
    window.device.where = run.ends
    window.frames(2)
    assert "Nothing came in." in window.texts()
    assert "not muted" in window.texts()


def test_other_keys_for_other_hands(window: Window) -> None:
    """The keys that were chosen are the hands, and no others."""
    window.context.change_settings(hand_keys="jk")
    window.show(play_bar(window))
    assert "J is your left hand, K your right." in window.texts()
    window.press("space")
    window.device.where = 1.0
    for key in "fjk":
        window.app.handle(key_down(key))
    assert [stroke.name for stroke in window.top.struck] == ["j", "k"]


def test_the_count_is_lit_and_strokes_stand(on_page: Window) -> None:
    """While a take runs the beat that sounds is lit, and each stroke of its bar stands where it came.

    With the next bar others stand there, and after the last one its own stay.
    """
    window = on_page
    window.press("space")
    run = window.top.run
    beat = run.hearing.passage.beat_seconds

    def at(place: float, key: str = "") -> tuple[int | None, tuple[float, ...]]:
        window.device.where = run.begins + place * beat
        if key:
            window.press(key)
        window.frames(2)
        found = window.widget("line").so_far()
        return found.beat, tuple(round(stroke, 2) for stroke in found.strokes)

    assert at(-2.0, "j") == (2, (2.0,))
    assert at(-0.1, "f") == (3, (2.0,))
    assert at(0.3) == (0, (-0.1,))
    assert at(1.5, "j") == (1, (-0.1, 1.5))
    assert at(3.9) == (3, (-0.1, 1.5))
    assert at(4.2) == (None, (-0.1, 1.5))


def test_strokes_stand_under_their_notes(window: Window) -> None:
    """Where the bar is written, a stroke on each of its notes stands under the note, as far as it is known as late."""
    late = 0.08
    HabitMemory(window.context).keep(window.context.instrument, Habits(offset=late))
    window.show(play_bar(window, PlayingWay.WRITTEN))
    window.press("space")
    run, playing = window.top.run, window.top.playing
    for place, at in playing.bar.onsets():
        window.device.where = run.begins + (place + float(at)) * run.hearing.passage.beat_seconds + late
        window.press("j")
    line, staff = window.widget("line"), window.widget("staff")
    stalks = [line.column(stroke) for stroke in line.so_far().strokes]
    notes = [staff.left + staff.layout.column(place, at) * staff.space for place, at in playing.bar.onsets()]
    assert stalks == pytest.approx(notes, abs=2)


def test_in_steps_a_bar_goes_round(window: Window) -> None:
    """Four times in one take; once it sits, the button offers more of the same bar."""
    window.show(play_bar(window, in_steps=True))
    whole = window.top.playing.whole_bar
    play(window, late=0.004)
    assert "4 of 4 times as written" in window.texts()
    size = window.top.playing.size
    window.press("return")
    assert (window.top.playing.size, window.top.playing.whole_bar) == (size + 1, whole)


def test_what_is_written_is_seen(window: Window) -> None:
    """The bar stands on the page before and while it is played, and is not heard first unless asked for."""
    window.show(play_bar(window, PlayingWay.WRITTEN))
    assert "staff" in window.names()
    window.press("space")
    assert "staff" in window.names()
    assert window.top.run.begins == pytest.approx(4 * window.top.run.hearing.passage.beat_seconds)


def test_say_it_and_play_it(window: Window) -> None:
    """The figures that are picked tell of hearing, the strokes of playing; both of the same bar."""
    window.show(PlayingStart(window.context, in_steps=False))
    window.press("3")
    window.widget("done").press()
    assert window.top.told == "Hear the bar first."
    window.press("space")
    window.frames(2)
    assert window.widget("hear").text == "Stop"
    window.press("space")
    assert not window.top.sounds
    figures = window.top.playing.bar.figures
    window.say(*figures)
    window.press("return")
    assert "Right. Now play it." in window.texts()
    play(window, late=0.004)
    answers = window.context.records.answers(window.context.player)
    assert [row.ability for row in answers] == ["hearing"] * 4 + ["playing"] * 4
    assert [row.heard for row in answers[:4]] == [row.heard for row in answers[4:]]
    window.press("return")
    assert isinstance(window.top, SayIt)
    assert window.top.playing.bar.figures != figures


def test_what_a_take_told_is_known_on_the_next_visit(window: Window) -> None:
    """The offset of a player on a device is kept, and a delay that is measured since is taken off it."""
    window.show(play_bar(window))
    play(window, late=0.0)
    told = window.top.playing.device
    instrument = window.context.instrument
    known = HabitMemory(window.context).of(instrument)
    assert (known.offset, known.spread) == (told.offset, told.spread)
    window.context.change_settings(calibration=20.0)
    assert HabitMemory(window.context).of(instrument).offset == pytest.approx(told.offset - 0.02)


def test_a_take_that_went_wrong_does_not_end_step_by_step(window: Window) -> None:
    """Step by step is offered first until half of the last beats were as written."""
    context = window.context
    figure, other = (one.count for one in context.level.figures[:2])
    chosen = []
    for number, said in enumerate([None, other, figure]):
        if said:
            rows = [
                Answer(NOW + number, context.level.name, "4/4", "1 2 3 4", k % 4, figure, said, None, "snare", 60.0,
                       ability="playing")
                for k in range(4)
            ]  # fmt: skip
            for take in range(2):
                context.keep(question_id("take", number, take), tuple(rows))
        window.show(open_playing(context))
        chosen.append(window.widget("how").value)
    assert chosen == [True, True, False]
