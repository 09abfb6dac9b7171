"""A chart played along: what sounds, what is read of it, and what is kept."""

from dataclasses import replace
from random import Random

import pytest

from audio.kit import Bank
from audio.mixdown import mix
from audio.reading import read
from game.sessions.inputs import KEYS, MICROPHONE, PADS, Input, InputDevice
from game.sessions.playing.playing import CUED
from game.sessions.reading.along import ChartPlaying, PlayedAs, groove_figures
from shared.bars import METERS
from shared.counting import parse_figure
from shared.figures import Figure
from shared.fills import Fill, FillBeat, FillStroke
from shared.forms import FORMS, drawn, made
from shared.grooves import GROOVES
from shared.levels import find_level, shipped_names
from shared.orchestration import Setting
from shared.reading import Habits
from tests.playing import chart_strokes
from tests.sampling import some

LEVEL = find_level("stage-3")
SETTING = Setting(tempo=72, swing=60, feel=0.5, groove="ghosted")
NOW = 1_800_000_000.0
OTHER = parse_figure("1 &")


def playing(form: str = "twelve bars", heard: bool = False) -> ChartPlaying:
    figures = [figure for figure in LEVEL.figures if figure.onsets and figure != OTHER][:4]
    return ChartPlaying(LEVEL, drawn(FORMS[form], LEVEL.meter, figures, 72, 5), SETTING, 5, heard)


@pytest.mark.parametrize("name", some(5, shipped_names()))
def test_charts_of_every_level_are_read(name: str) -> None:
    """At the level's slowest tempo, strokes some 10 ms about their places: every fill is as written."""
    level = find_level(name)
    figures = [figure for figure in level.figures if figure.onsets]
    chart = drawn(FORMS["sixteen bars"], level.meter, figures, level.tempo.low, 1)
    one = ChartPlaying(level, chart, Setting(tempo=float(level.tempo.low), groove="driving"), 1, False)
    play(one)
    assert one.played is not None
    assert one.played.sentence == "4 of 4 fills as written."


def play(
    one: ChartPlaying,
    otherwise: dict[tuple[int, int], Figure] | None = None,
    groove: bool = False,
    spread: float = 0.01,
) -> None:
    """Play the chart with a jitter, all of it 20 ms late."""
    run, random = one.run(KEYS), Random(3)
    beat = run.hearing.passage.beat_seconds
    struck = [
        Input(KEYS, "j", run.begins + place * beat + 0.02 + random.gauss(0, spread))
        for place in chart_strokes(one.chart, otherwise, groove)
    ]
    one.take(struck, run, NOW, InputDevice(), read, Habits())


def test_the_groove_sounds_and_leaves_the_fills_to_the_player() -> None:
    """A count-in, a click on every beat, the groove exact and straight; in fills the click alone; and the next 1."""
    one = playing()
    run = one.run(KEYS)
    passage = run.hearing.passage
    assert passage.bars == 1 + 12 + 1 == len(run.hearing.words)
    assert run.beats == 48
    assert run.hearing.words[:3] == ("Count-in", "Bar 1", "Bar 2")
    # The first phrase comes twice.
    assert run.hearing.words[5] == "Bar 1"
    assert not any(stroke.moved for stroke in passage.strokes)
    clicks = [(one.bar, one.beat) for one in passage.strokes if one.instrument == "click"]
    assert clicks == [*((bar, beat) for bar in range(1, 13) for beat in range(1, 5)), (13, 1)]
    for number, place in enumerate(one.chart.heard, 1):
        fill = one.chart.fills[place]
        others = {stroke.beat for stroke in passage.strokes if stroke.bar == number and stroke.instrument != "click"}
        assert others == {beat for beat in range(1, 5) if fill is None or fill.figures[beat - 1] is None}
    assert mix(passage, Bank("practice")).any()


def test_before_a_microphone_the_click_sounds_alone() -> None:
    """A groove over a loudspeaker would be taken down as strokes."""
    strokes = playing().run(MICROPHONE).hearing.passage.strokes
    assert {stroke.instrument for stroke in strokes if stroke.bar > 0} == {"click"}


@pytest.mark.parametrize("groove", [False, True])
def test_a_chart_as_written(groove: bool) -> None:
    """Each fill is read as written, the groove whether it was played or left alone; its rows are those of playing."""
    one = playing()
    play(one, groove=groove)
    found = one.played
    assert found is not None
    assert found.sentence == "3 of 3 fills as written."
    assert {bar.result for bar in found.bars if bar.fill} == {PlayedAs.WRITTEN}
    assert {bar.result for bar in found.bars if not bar.fill} == {PlayedAs.WRITTEN if groove else PlayedAs.RESTED}
    assert found.to_keep is not None
    names = [name for name, _ in found.to_keep.answers]
    # The first fill comes twice: it is one question.
    assert names[0] == names[1] != names[2]
    rows = [rows for _, rows in found.to_keep.answers]
    assert [{row.ability for row in lot} for lot in rows] == [{"reading"}, {"playing"}, {"reading"}]
    assert [lot[0].attempt for lot in rows] == [1, 2, 1]
    assert all(row.said == row.heard and row.tempo == 72 for lot in rows for row in lot)
    for take, (name, lot) in zip(found.to_keep.takes, found.to_keep.answers, strict=True):
        assert take.question == name
        struck = sum(len(parse_figure(row.heard).onsets) for row in lot)
        assert len(take.strokes) == struck + groove * 2 * (4 - len(lot))
    assert found.habits.offset == pytest.approx(0.02, abs=0.005)
    # The timing of the whole piece goes with the first of its bars.
    first, *others = found.to_keep.takes
    assert first.timing
    assert not any(take.timing for take in others)


def test_what_was_otherwise_is_told_bar_by_bar() -> None:
    """Another figure in the second time of a fill, and a stray one in the groove: which bar, which beat, what."""
    one = playing()
    play(one, {(7, 3): OTHER, (9, 1): parse_figure("1 e & a")}, groove=True)
    found = one.played
    assert found is not None
    assert found.sentence == "2 of 3 fills as written; otherwise bars 4 and 6."
    # A bar that could not be told is named, too: else the numbers would not add up.
    open_beats = [tuple(replace(beat, figure=None) for beat in bar.beats) for bar in found.bars]
    told = [replace(bar, beats=b) if bar.place == 3 else bar for bar, b in zip(found.bars, open_beats, strict=True)]
    unsure = replace(found, bars=tuple(told))
    assert unsure.sentence == "1 of 3 fills as written; otherwise bar 6; not sure bar 4."
    assert [bar.result for bar in found.at(3)] == [PlayedAs.WRITTEN, PlayedAs.OTHERWISE]
    assert (found.first, found.result(3), found.result(4)) == (3, PlayedAs.OTHERWISE, PlayedAs.WRITTEN)
    second = found.at(3)[1]
    written = second.written(3)
    assert written is not None
    assert second.words() == f"on beat 4 you played 4 &, written is {written.count_on(4)}."
    assert second.as_played().figures[3] == OTHER
    assert found.at(5)[0].words() == "on beat 2 you played 2 e & a, written is the groove."
    assert one.as_played(second).passage.strokes != one.as_written(3).passage.strokes


def test_a_fill_that_was_left_out() -> None:
    """Nothing on a beat of a fill is otherwise, where nothing in the groove is not."""
    one = playing("eight bars")
    place = one.chart.fills[3].played[-1]  # type: ignore[union-attr]
    play(one, {(3, place): Figure(())})
    assert one.played is not None
    assert "you played nothing" in one.played.at(3)[0].words()


def test_slower_and_once_more_is_no_longer_at_sight() -> None:
    """At half the tempo; the second take is not at sight, and neither is a chart that was heard before."""
    one = playing("eight bars")
    one.pace = 0.5
    assert one.run(KEYS).hearing.passage.tempo == 36
    play(one)
    play(one)
    assert one.played is not None
    assert one.played.to_keep is not None
    assert {row.ability for _, rows in one.played.to_keep.answers for row in rows} == {"playing"}
    assert {row.attempt for _, rows in one.played.to_keep.answers for row in rows} == {2}
    again = playing("eight bars", heard=True)
    play(again)
    assert again.played is not None
    assert again.played.to_keep is not None
    assert {row.ability for _, rows in again.played.to_keep.answers for row in rows} == {"playing"}


def test_nothing_and_noise_are_told() -> None:
    """Without a stroke, or with strokes that go with no beat, nothing is kept and one sentence says so."""
    one = playing("eight bars")
    run = one.run(KEYS)
    found = one.take([], run, NOW, InputDevice(), read, Habits())
    assert (found.sentence, found.bars, found.to_keep) == ("Nothing came in.", (), None)
    random = Random(4)
    noise = [Input(MICROPHONE, "", run.begins + random.uniform(0, run.beats * 0.83)) for _ in range(40)]
    found = one.take(noise, run, NOW, InputDevice(MICROPHONE), read, Habits())
    assert found.to_keep is None
    assert found.sentence.startswith(("No figures can be made out", "The strokes lie too far apart"))


def test_strokes_too_far_apart_are_kept_and_tell_no_figure() -> None:
    """The advice is to play slower; every beat is kept as not sure, and nothing is learned of the player's habits."""
    one = playing("eight bars")
    play(one, groove=True, spread=0.09)
    found = one.played
    assert found is not None
    assert found.sentence == "The strokes lie too far apart for this tempo: play it slower (S)."
    assert found.to_keep is not None
    assert all(row.unsure and row.said is None for _, rows in found.to_keep.answers for row in rows)
    assert [found.result(bar) for bar in (3, 7)] == [PlayedAs.UNSURE] * 2
    assert found.habits == Habits()


def test_strokes_of_a_kit_that_come_together_are_one() -> None:
    """Cymbal and bass drum on one beat are one stroke of the groove."""
    one = playing("eight bars")
    run = one.run(PADS)
    beat = run.hearing.passage.beat_seconds
    struck = [
        Input(PADS, note, run.begins + place * beat + late)
        for place in chart_strokes(one.chart, groove=True)
        for note, late in (("42", 0.0), ("36", 0.012))
    ]
    found = one.take(struck, run, NOW, InputDevice(PADS), read, Habits())
    # No fill is for the hi-hat: that is told, and is no other figure.
    assert found.sentence == "2 of 2 fills as written. On another drum than written: strokes in bars 4 and 8."
    assert not [bar for bar in found.bars if bar.result is PlayedAs.OTHERWISE]


ON_THE_KIT = Fill(
    LEVEL.meter,
    (
        None,
        None,
        FillBeat(parse_figure("1 e & a"), (FillStroke(("high-tom",)),) * 4),
        FillBeat(parse_figure("1 &"), (FillStroke(("floor-tom",)), FillStroke(("kick", "crash")))),
    ),
)
"""A fill of three strokes and more on drums of their own."""


def on_pads(changed: dict[int, str], notes: tuple[str, ...] = ("50", "50", "50", "50", "43", "49")) -> ChartPlaying:
    """A chart of two such fills, played on a kit: some strokes of the first (by number) with other notes."""
    one = ChartPlaying(LEVEL, made(FORMS["eight bars"], [ON_THE_KIT] * 2), SETTING, 5, False)
    run = one.run(PADS)
    beat, places = run.hearing.passage.beat_seconds, list(chart_strokes(one.chart))
    played = [*["38"] * CUED, *(changed.get(k, note) for k, note in enumerate(notes)), *notes]
    struck = [Input(PADS, note, run.begins + place * beat) for place, note in zip(places, played, strict=True)]
    one.take(struck, run, NOW, InputDevice(PADS), read, Habits())
    return one


def test_a_stroke_on_another_drum_is_told_and_is_no_other_figure() -> None:
    """On a kit, by the notes of General MIDI: the stroke is named by its count, and its bar is as written."""
    assert on_pads({}).played.first == 3  # type: ignore[union-attr]
    found = on_pads({1: "47", 4: "38"}).played
    assert found is not None
    assert replace(found, bars=found.bars[::-1]).first == 3
    assert found.sentence == "2 of 2 fills as written. On another drum than written: strokes in bar 4."
    assert found.result(3) is PlayedAs.WRITTEN
    assert found.at(3)[0].words() == "as written. On another drum: (3) e, 4."
    assert found.at(7)[0].words() == "as written."
    assert found.to_keep is not None
    assert all(row.said == row.heard for _, rows in found.to_keep.answers for row in rows)


def test_drums_are_told_only_where_the_kit_tells_them() -> None:
    """A note that no drum has, one of two drums struck, and a pad that has one note for all: nothing is said."""
    for one in (on_pads({1: "99"}), on_pads({5: "36"}), on_pads({}, ("38",) * 6)):
        assert one.played is not None
        assert one.played.sentence == "2 of 2 fills as written."


def test_what_was_played_on_a_kit_is_written_on_its_drums() -> None:
    """Another figure is shown and heard on the drums that were struck."""
    one = on_pads({})
    assert one.played is not None
    bar = one.played.at(3)[0]
    third = replace(bar.beats[2], figure=parse_figure("1 e & a"))
    other = replace(bar, fill=ON_THE_KIT.with_figure(2, parse_figure("1")), beats=(*bar.beats[:2], third, bar.beats[3]))
    played = other.as_played().beats[2]
    assert played is not None
    assert [stroke.drums for stroke in played.strokes] == [("high-tom",)] * 4


@pytest.mark.parametrize("meter", ["4/4", "6/8"])
def test_each_groove_can_be_played_by_cymbal_drums_or_both(meter: str) -> None:
    """For every groove of the table, each of its parts alone is a figure of its beat."""
    for groove in GROOVES.values():
        beats = list(groove_figures(groove, METERS[meter], "R"))
        assert len(beats) == METERS[meter].beats
        assert all(any(figure.onsets for figure in figures) for figures in beats)


def test_the_setting_is_the_players_but_for_swing_and_feel() -> None:
    """Groove and hand stay; what would move strokes off their places does not."""
    one = playing()
    assert one.setting == replace(SETTING, swing=50, feel=0.0)
    assert CUED == 2
