"""Play it back: what a take is read as, how the tempo moves, what is kept, and what is heard of it."""

from dataclasses import replace

import numpy as np
import pytest

from audio.reading import read
from game.learning.coach import Coach
from game.sessions import SessionError
from game.sessions.inputs import Input, InputDevice
from game.sessions.playing.playing import (
    AS_WRITTEN,
    AS_YOU_PLAYED,
    COUNT_IN,
    FASTER,
    LOOPS,
    OVER,
    PLAY,
    SETTLING,
    SLOWER_BY,
    Playing,
    Run,
    read_figures,
    run_of,
)
from game.sessions.playing.report import STEADY, UNEVEN
from shared.bars import Bar
from shared.counting import parse_figure
from shared.levels import find_level
from shared.orchestration import Setting
from shared.reading import NOTHING, SLOWER, UNCLEAR

LEVEL = find_level("stage-4")
NOW = 1_750_000_000.0


@pytest.fixture
def playing() -> Playing:
    return Playing(LEVEL, LEVEL.figures, read, seed=3)


def struck(bar: Bar, run: Run, rng: np.random.Generator, spread: float = 0.01, late: float = 0.03) -> list[Input]:
    """A bar as a player strikes it, and two clicks before it: each stroke with a normal deviation."""
    beat = run.hearing.passage.beat_seconds
    places = [-2.0, -1.0, *(number + float(at) for number, at in bar.onsets())]
    return [
        Input("keys", "fj"[k % 2], run.begins + place * beat + late + float(rng.normal(0, spread)))
        for k, place in enumerate(places)
    ]


def take(playing: Playing, spread: float = 0.01, bar: Bar | None = None, at: float = NOW, late: float = 0.03):
    run, rng = playing.run(True), np.random.default_rng(playing.takes)
    return playing.take(struck(bar or playing.bar, run, rng, spread, late), run, at)


def test_bars_are_read_as_they_were_played(playing: Playing) -> None:
    """With 10 ms of spread every bar is right, at every tempo up to 100, whatever the delay of the sound."""
    for number in range(12):
        playing.tempo = 50.0 + 5 * min(number, 10)
        assert take(playing, at=NOW + number, late=0.05).as_written
        playing.go_on()


def test_the_tempo_climbs_and_falls_in_small_steps(playing: Playing) -> None:
    """Six up after a bar as written, never over the level's fastest; six down after another figure."""
    first = playing.tempo
    assert first == LEVEL.tempo.low
    take(playing)
    assert playing.tempo == first + FASTER
    other = playing.bar.with_figures({0: next(f for f in LEVEL.figures if f != playing.bar.figures[0])})
    assert take(playing, bar=other).report.otherwise == (0,)
    assert playing.tempo == first + FASTER - SLOWER_BY
    playing.tempo = LEVEL.tempo.high
    take(playing)
    assert playing.tempo == LEVEL.tempo.high
    assert FASTER <= 6


def test_an_uneven_take_climbs_no_further(playing: Playing) -> None:
    """As written and yet uneven: the tempo stays; where the strokes lie too far apart it falls."""
    found = []
    for number in range(8):
        playing.tempo = before = LEVEL.tempo.low + 6.0
        played = take(playing, spread=0.04, at=NOW + number)
        found.append((played.reading.spread, played.as_written, playing.tempo - before))
    assert any(STEADY < spread <= UNEVEN and right for spread, right, _ in found)
    assert all(change <= 0 for spread, _, change in found if spread > STEADY)
    assert all(change == -6 for spread, _, change in found if spread > UNEVEN)


def test_a_take_without_a_stroke_changes_nothing(playing: Playing) -> None:
    """Nothing is kept, the tempo stays, and the player is still asked to strike along."""
    run, tempo = playing.run(False), playing.tempo
    played = playing.take([], run, NOW)
    assert (played.reading.verdict, played.take, played.answers) == (NOTHING, None, ())
    assert played.report.sentence == "Nothing came in."
    assert (playing.tempo, playing.takes, playing.settling) == (tempo, 0, True)


def test_strokes_too_far_apart_are_not_judged(playing: Playing) -> None:
    """No figure is told, the answers say "not sure", the sentence says slower and the next take is."""
    playing.tempo = 120.0
    found = [take(playing, spread=0.1, at=NOW + number) for number in range(6)]
    wide = [played for played in found if played.reading.verdict == SLOWER]
    assert wide
    for played in wide:
        assert played.reading.figures == (None,) * 4
        assert [(row.said, row.unsure) for row in played.answers[0]] == [(None, True)] * 4
        assert "play it slower" in played.report.sentence
    assert playing.tempo < 120.0


def test_what_is_kept(playing: Playing) -> None:
    """One question for a bar, each take an attempt at it; the strokes with their times from the bar's first beat."""
    one, two = take(playing), take(playing, at=NOW + 30)
    assert one.question == two.question
    assert [played.answers[0][0].attempt for played in (one, two)] == [1, 2]
    assert one.take.uuid != two.take.uuid
    assert one.take.question == one.question
    assert {row.ability for row in (*one.answers[0], *two.answers[0])} == {"playing"}
    assert [stroke.hand for stroke in one.take.strokes[:3]] == ["L", "R", "L"]
    assert one.take.strokes[0].seconds == pytest.approx(-2 * one.beat_seconds + 0.03, abs=0.05)
    playing.go_on()
    assert take(playing, at=NOW + 60).question != one.question
    assert not playing.settling
    assert playing.takes == SETTLING + 1


def test_strokes_to_the_bar_that_is_heard_are_left_out(playing: Playing) -> None:
    """Whoever plays along while listening plays no other bar."""
    run = playing.run(True)
    along = [Input("keys", "f", run.begins - (8 - k) * run.hearing.passage.beat_seconds) for k in range(4)]
    played = playing.take([*along, *struck(playing.bar, run, np.random.default_rng(1))], run, NOW)
    assert played.as_written
    assert len(played.take.strokes) == 2 + len(list(played.bar.onsets()))


def test_what_was_played_is_heard_as_it_was(playing: Playing) -> None:
    """Each stroke sounds where it was struck, the take's offset taken off; then both in turn, in their words."""
    played, hearing = take(playing, spread=0.015), playing.as_played()
    passage = hearing.passage
    begins = passage.time_of_beat(passage.figure_bar, 1)
    sounds = [time - begins for time, stroke in passage.timed if stroke.figure]
    wanted = [placed.stroke.seconds - played.reading.offset for placed in played.reading.strokes]
    assert sounds == pytest.approx(wanted, abs=1e-6)
    assert playing.in_turn().words == (COUNT_IN, AS_WRITTEN, COUNT_IN, AS_YOU_PLAYED)


def test_a_missed_stroke_is_another_figure() -> None:
    """A figure that the level lacks is told, not bent to one that it has; a level of triplets knows their others."""
    names = {figure.count for figure in read_figures(LEVEL)}
    assert {"(1) e", "(1)"} <= names
    assert "1 trip" not in names
    assert "1 trip" in {figure.count for figure in read_figures(find_level("stage-5"))}


def test_there_must_be_something_to_play() -> None:
    """Silence can't be played back."""
    with pytest.raises(SessionError):
        Playing(LEVEL, [parse_figure("(1)")], read, seed=1)
    with pytest.raises(SessionError):
        Playing(LEVEL, LEVEL.figures, read, seed=1).as_played()


def test_playing_tells_the_coach_of_hearing_nothing(playing: Playing) -> None:
    """A coach that lived through hearing and playing believes what one does that lived through the hearing alone."""
    coach = Coach(LEVEL, seed=1)
    heard = []
    for number in range(6):
        question = coach.ask(NOW + 60 * number)
        heard += coach.mark(question, question.asked_figures, NOW + 60 * number + 20).answers
    played = [replace(row, said=None) for k in range(4) for row in take(playing, at=NOW + 60 * k + 40).answers[0]]
    alone, both = Coach.replay(LEVEL, heard, 1), Coach.replay(LEVEL, [*heard, *played], 1)
    later = NOW + 1000
    assert both.recall(later).tolist() == alone.recall(later).tolist()
    assert both.confusion().tolist() == alone.confusion().tolist()
    assert both.steps == alone.steps


def looped(playing: Playing, left_out: tuple[int, ...] = (), at: float = NOW, spread: float = 0.008):
    """A take in steps: each round of the bar as written, but those of these numbers without their last stroke."""
    run, rng = playing.run(True), np.random.default_rng(playing.takes)
    beat, meter = run.hearing.passage.beat_seconds, playing.bar.meter.beats
    onsets = [number + float(at) for number, at in playing.bar.onsets()]
    places = [-2.0, -1.0]
    for number in range(run.rounds):
        places += [number * meter + place for place in (onsets[:-1] if number in left_out else onsets)]
    struck = [
        Input("keys", "fj"[k % 2], run.begins + place * beat + 0.02 + float(rng.normal(0, spread)))
        for k, place in enumerate(places)
    ]
    return playing.take(struck, run, at)


@pytest.fixture
def steps() -> Playing:
    return Playing(LEVEL, LEVEL.figures, read, seed=3, in_steps=True)


def test_a_bar_grows_once_it_sits(steps: Playing) -> None:
    """From its first beat to the whole bar, a beat at a time; the tempo climbs with the whole bar alone."""
    whole, sizes, tempi = steps.whole_bar, [], []
    for number in range(steps.size, 5):
        assert steps.bar.figures[: steps.size] == whole.figures[: steps.size]
        assert not any(figure.onsets for figure in steps.bar.figures[steps.size :])
        played = looped(steps, at=NOW + number)
        assert played.right == (True,) * LOOPS
        sizes.append(steps.size)
        tempi.append(steps.tempo)
        steps.go_on()
    assert sizes == list(range(sizes[0], 5))
    assert tempi[:-1] == [LEVEL.tempo.low] * (len(tempi) - 1)
    assert tempi[-1] == LEVEL.tempo.low + FASTER
    assert steps.whole_bar != whole


def test_a_bar_sits_when_its_last_rounds_are_right(steps: Playing) -> None:
    """A miss at the beginning is forgiven, one at the end is not; the round that was otherwise is shown."""
    assert looped(steps, left_out=(0,)).sits
    assert (steps.played.shown, steps.grows) == (0, True)
    assert not looped(steps, left_out=(3,), at=NOW + 60).sits
    assert (steps.played.shown, steps.grows) == (3, False)
    size = steps.size
    steps.go_on()
    assert steps.size <= size


def test_each_round_is_evidence_of_its_own(steps: Playing) -> None:
    """Each time round is a further attempt, of the beats that were to be played."""
    played = looped(steps)
    assert [[row.attempt for row in rows] for rows in played.answers] == [[n] * steps.size for n in range(1, LOOPS + 1)]
    assert {row.beat for rows in played.answers for row in rows} == set(range(steps.size))


def test_a_stroke_on_a_pad_is_heard_again_on_its_drum(playing: Playing) -> None:
    """Notes give the drum by the General MIDI percussion map, hands by the player's own trial, loudness as struck."""
    playing.play_on(InputDevice("pads", "Reed pad", {"38": "L", "43": "R"}), read, playing.device)
    run = playing.run(True)
    beat = run.hearing.passage.beat_seconds
    struck = [
        Input("pads", ("38", "43")[k % 2], run.begins + (number + float(at)) * beat, (0.4, 0.9)[k % 2])
        for k, (number, at) in enumerate(playing.bar.onsets())
    ]
    played = playing.take(struck, run, NOW)
    assert played.take.source == "pads"
    assert {(stroke.hand, stroke.drum) for stroke in played.take.strokes} == {("L", "snare"), ("R", "floor-tom")}
    again = playing.as_played().passage
    heard = {(stroke.instrument, stroke.velocity) for stroke in again.strokes if stroke.figure}
    assert heard == {("snare", 0.4), ("floor-tom", 0.9)}


def test_a_sound_without_figures_is_not_told(playing: Playing) -> None:
    """Strokes by the microphone that go with no beat are told as such, and nothing is kept."""
    playing.play_on(InputDevice("microphone"), read, playing.device)
    run, rng = playing.run(False), np.random.default_rng(5)
    struck = [Input("microphone", "", run.alone + float(at)) for at in np.sort(rng.uniform(0, 5, 40))]
    played = playing.take(struck, run, NOW)
    assert (played.reading.verdict, played.take, played.reading.figures) == (UNCLEAR, None, (None,) * 4)
    assert played.report.sentence.startswith("No figures can be made out")


def test_the_groove_goes_on_under_steps(steps: Playing) -> None:
    """Cymbals and bass drum under every round, never the snare drum; before a microphone only the click."""

    def heard(run: Run) -> set[str]:
        begins = run.hearing.passage.figure_bar
        return {stroke.instrument for stroke in run.hearing.passage.strokes if stroke.bar >= begins}

    assert heard(steps.run(True)) == {"click", "closed-hat", "kick"}
    steps.play_on(InputDevice("microphone"), read, steps.device)
    assert heard(steps.run(True)) == {"click"}


def test_the_times_round_are_counted() -> None:
    """Who plays a bar round and round reads which time it is; a bar that is played once needs no number."""
    bar = Bar(LEVEL.meter, (parse_figure("1 &"),) * LEVEL.meter.beats)
    round_and_round, once = (run_of(bar, Setting(), False, rounds).hearing for rounds in (3, 1))
    assert round_and_round.words == (COUNT_IN, "Play, 1 of 3", "Play, 2 of 3", "Play, 3 of 3", OVER)
    assert once.words == (COUNT_IN, PLAY, OVER)
    assert len(round_and_round.words) == round_and_round.passage.bars
