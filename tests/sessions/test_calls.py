"""Call and answer: which calls come, how they sound, and what is said of the answers, without window and clock."""

from dataclasses import replace
from fractions import Fraction
from itertools import product

import numpy as np
import pytest

from audio.reading import read
from game.sessions.fills.known import known_figures, met_figures
from game.sessions.inputs import Input
from game.sessions.playing.calls import (
    AHEAD,
    CALL,
    COUNT_IN,
    GROOVE,
    HISTORY,
    REPLY,
    REST,
    CoursePart,
    call_parts,
    calling_ways,
    drawn_calls,
    groove_parts,
    picked_course,
    played_course,
    rest_bars,
    swinging,
)
from game.sessions.playing.playing import Playing, Run
from game.sessions.playing.replies import (
    Reply,
    ReplyRule,
    replies_chart,
    reply_picked,
    reply_played,
    summary,
)
from game.sessions.progress.standing import HORIZONS, Standing
from shared.bars import METERS, Bar
from shared.counting import parse_bar, parse_figure
from shared.figures import Figure
from shared.fills import ACCENT, GHOST, fill_of
from shared.levels import find_level
from shared.notation.chart_page import lay_out_chart
from shared.orchestration import DOWN_THE_KIT, Setting
from shared.playability import cautions
from tests.sampling import some

LEVEL = find_level("stage-4")
SETTING = Setting(tempo=72.0)
WAYS = calling_ways(LEVEL)
ALL_DRUMS = {"snare", "kick", *DOWN_THE_KIT}
BAR = parse_bar("1 2 & 3 e & a 4")
CALLED = fill_of([BAR])
ALLOWED = tuple(map(parse_figure, ("1", "1 &", "1 e & a")))
NOW = 1_750_000_000.0


def said(count: str, rule: ReplyRule = ReplyRule.SAME, allowed: tuple[Figure, ...] = ALLOWED) -> Reply:
    """A reply to the call, picked by its count; an underscore for a beat that is not sure."""
    picks = [None if word == "_" else parse_figure(word) for word in count.split(" | ")]
    return reply_picked(CALLED, picks, rule, allowed)


THE_CALL = "1 | 1 & | 1 e & a | 1"


@pytest.mark.parametrize(
    ("rule", "count", "sentence", "kept"),
    [
        (ReplyRule.SAME, THE_CALL, "The same.", True),
        (ReplyRule.SAME, "1 | 1 & | 1 & | 1", "Another: 3 & for 3 e & a.", False),
        (ReplyRule.SAME, "1 & | 1 & | 1 & | 1", "Two beats were changed: 1 and 3.", False),
        (ReplyRule.SAME, "1 | _ | 1 e & a | 1", "Not sure of beat 2.", False),
        (ReplyRule.SAME, "_ | _ | 1 & | 1", "Not sure of beats 1 and 2. Changed: beat 3.", False),
        (ReplyRule.SAME, "_ | _ | _ | _", "Nothing was picked.", False),
        (ReplyRule.OTHER, "1 | 1 | 1 | 1", "Another: 1 2 3 4.", True),
        (ReplyRule.OTHER, THE_CALL, "The same.", False),
        (ReplyRule.OTHER, "1 | 1 e | 1 | 1", "Another: 1 2 e 3 4. 2 e is not among the figures allowed.", False),
        (ReplyRule.CHANGED, "1 | 1 & | 1 & | 1", "Beat 3 was changed: 3 & for 3 e & a.", True),
        (ReplyRule.CHANGED, THE_CALL, "The same: no beat was changed.", False),
        (ReplyRule.CHANGED, "1 & | 1 & | 1 & | 1", "Two beats were changed: 1 and 3.", False),
        (
            ReplyRule.CHANGED,
            "1 | 1 & | 1 & a | 1",
            "Beat 3 was changed: 3 & a for 3 e & a. 3 & a is not among the figures allowed.",
            False,
        ),
    ],
)
def test_a_reply_is_told_by_its_figures(rule: ReplyRule, count: str, sentence: str, kept: bool) -> None:
    """One sentence says what it was, and whether it is what the rule asks for."""
    reply = said(count, rule)
    assert reply.sentence() == sentence
    assert reply.kept == kept


def test_what_is_played_is_told_like_what_is_picked() -> None:
    """Strokes with 10 ms of jitter, all late, are read into the call; uneven timing alone changes no word."""
    course = played_course([CALLED], SETTING)
    playing = Playing(LEVEL, LEVEL.figures, read, seed=1)
    playing.put(BAR, SETTING.tempo)
    run, rng = course.reply_run(0), np.random.default_rng(5)
    beat = run.hearing.passage.beat_seconds
    onsets = [place + float(at) for place, at in BAR.onsets()]
    struck = [Input("keys", "fj"[k % 2], run.begins + place * beat + 0.03 + rng.normal(0, 0.01))
              for k, place in enumerate(onsets)]  # fmt: skip
    # Whoever drums along with the call, or goes on with the groove, changes nothing of the reply.
    along = [Input("keys", "f", run.begins + place * beat) for place in (-3.5, -2.0, -0.75, 5.5, 7.0)]
    played = playing.take([*along, *struck], run, NOW)
    reply = reply_played(CALLED, played.reading, ReplyRule.SAME, ALLOWED)
    assert reply.sentence() == "The same."
    assert reply.fill is not None
    assert reply.fill.figures == CALLED.figures
    assert {row.ability for row in played.answers[0]} == {"playing"}
    assert [row.said == row.heard for row in played.answers[0]] == [True] * 4


def test_a_silent_beat_is_written_as_a_rest() -> None:
    """Not as groove, which stands for what is not sure."""
    playing = Playing(LEVEL, LEVEL.figures, read, seed=1)
    playing.put(BAR, SETTING.tempo)
    run = played_course([CALLED], SETTING).reply_run(0)
    struck = [Input("keys", "f", run.begins + beat * 60 / SETTING.tempo) for beat in (0, 1, 3)]
    reply = reply_played(CALLED, playing.take(struck, run, NOW).reading, ReplyRule.OTHER, ALLOWED)
    assert reply.fill is not None
    assert reply.fill.count == "1 2 (3) 4"
    assert reply.fill.figures[2] == Figure(())
    (line,) = lay_out_chart(replies_chart([reply], 1), SETTING)
    assert line.layouts[2].label == "1 2 (3) 4"


def test_a_count_in_that_is_struck_along_tells_the_delay() -> None:
    """A sound that comes 90 ms late is known before the first reply; two strokes at random tell nothing."""
    course = played_course([CALLED], SETTING)
    playing = Playing(LEVEL, LEVEL.figures, read, seed=1)
    playing.tempo = SETTING.tempo
    run, beat = Run(course.hearing, 0.0, cued=0), 60 / SETTING.tempo
    playing.settle([Input("keys", "f", beat * place) for place in (0.4, 1.7)], run)
    assert playing.device.offset == 0.0
    playing.settle([Input("keys", "f", beat * place + 0.09) for place in range(4)], run)
    assert playing.device.offset == pytest.approx(0.09, abs=0.01)


def test_nothing_came_in_is_no_rest() -> None:
    """A take without a stroke is told as such, is not written, and leaves the groove in the chart."""
    playing = Playing(LEVEL, LEVEL.figures, read, seed=1)
    playing.put(BAR, SETTING.tempo)
    played = playing.take([], played_course([CALLED], SETTING).reply_run(0), NOW)
    reply = reply_played(CALLED, played.reading, ReplyRule.OTHER, ALLOWED)
    assert (reply.sentence(), reply.fill, reply.kept) == ("Nothing came in.", None, False)
    assert replies_chart([reply], 1).fills[2] is None


@pytest.mark.parametrize("tempo", [60.0, 120.0, 200.0])
@pytest.mark.parametrize("meter", ["2/4", "3/4", "4/4"])
def test_calls_can_be_played(meter: str, tempo: float) -> None:
    """Eight different bars of the figures allowed, the same for one seed, that hands can play at the tempo."""
    calls = drawn_calls(METERS[meter], LEVEL.figures, 8, Setting(tempo=tempo, seed=4), WAYS)
    assert calls == drawn_calls(METERS[meter], LEVEL.figures, 8, Setting(tempo=tempo, seed=4), WAYS)
    assert calls != drawn_calls(METERS[meter], LEVEL.figures, 8, Setting(tempo=tempo, seed=5), WAYS)
    assert len({call.bars for call in calls}) == 8
    for call in calls:
        assert set(call.figures) <= set(LEVEL.figures)
        assert len(set(call.figures)) > 1
        assert not cautions(call, tempo)


def test_calls_at_a_tempo_beyond_hands_come_all_the_same() -> None:
    """Where nothing can be played so fast there is still a call for each place."""
    figures = [parse_figure("1 e & a"), parse_figure("1 e &")]
    assert len(drawn_calls(METERS["4/4"], figures, 4, Setting(tempo=400.0, seed=1))) == 4


@pytest.mark.parametrize("level", some(2, ["stage-1", "stage-4", "stage-5", "stage-6", "compound-quavers"]))
def test_calls_go_round_the_kit_by_the_levels_ways(level: str) -> None:
    """Over forty calls each way that has a figure on every beat comes; drums and accents are just what it gives."""
    chosen = find_level(level)
    ways = calling_ways(chosen)
    assert set(ways) == {name for name in chosen.orchestrations if not name.startswith("fill")}
    drums = {"snare": {"snare"}, "kick-and-snare": {"kick", "snare"}, "hands": {"snare", "floor-tom"}}
    for way in ways:
        for call in drawn_calls(chosen.meter, chosen.figures, 40, Setting(tempo=60.0, seed=2), (way,)):
            struck = [placed.stroke for placed in call.placed()]
            assert {drum for stroke in struck for drum in stroke.drums} <= drums.get(way, ALL_DRUMS)
            forces = [[stroke.force for stroke in beat.strokes] for beat in call.beats if beat and beat.strokes]
            if way == "accents":
                assert all(beat == [ACCENT, *[GHOST] * (len(beat) - 1)] for beat in forces)
            if way == "down-the-kit":
                found = [drum for beat in call.beats if beat for stroke in beat.strokes for drum in stroke.drums]
                assert sorted(found, key=DOWN_THE_KIT.index) == found
    calls = drawn_calls(chosen.meter, chosen.figures, 40, Setting(tempo=60.0, seed=2), ways)
    assert len({drums for call in calls for placed in call.placed() for drums in placed.stroke.drums}) > 2


def test_a_call_is_never_on_a_cymbal() -> None:
    """The groove's own cymbal goes on under it; a level that has nothing else is called on the snare drum."""
    assert calling_ways(replace(LEVEL, orchestrations=("hat", "toms", "ride", "fill-2"))) == ("toms",)
    assert calling_ways(replace(LEVEL, orchestrations=("ride",))) == ("snare",)


def test_a_call_has_the_players_swing_and_feel() -> None:
    """The & of a swung quaver pair falls at 62 % of it in groove and call; the click stays on the beat."""
    swung = replace(SETTING, swing=62.0, feel=1.0, seed=7)
    course = played_course([fill_of([parse_bar("1 & 2 3 & 4")])], swung)
    beat = 60 / SETTING.tempo
    ands = {}
    for time, stroke in course.hearing.passage.timed:
        word = course.parts[stroke.bar].word
        if stroke.instrument == "click":
            assert time == pytest.approx(course.begins(stroke.bar) + (stroke.beat - 1) * beat)
        elif stroke.at == Fraction(1, 2):
            ands.setdefault(word, []).append((time / beat) % 1)
    assert set(ands) == {GROOVE, CALL, REPLY}
    for found in ands.values():
        assert found == pytest.approx([0.62] * len(found), abs=0.010 / beat + 1e-6)
    assert len({round(one, 6) for one in ands[GROOVE]}) > 1


EACH_WAY = tuple(product((62, 67), (False, True)))
"""Swung by so much, and answered straight or swung."""


@pytest.mark.parametrize(
    ("swing", "straight", "bars"),
    [(62, False, 12), (67, True, 12), *(pytest.param(*case, 30, marks=pytest.mark.long) for case in EACH_WAY)],
)
def test_a_swung_answer_is_read_as_a_straight_one(swing: int, straight: bool, bars: int) -> None:
    """Bars of quavers with 15 ms of jitter: all but one beat in fifty are told, swung as the call or not."""
    level = find_level("stage-1")
    setting, rng = Setting(tempo=60.0, swing=float(swing), seed=3), np.random.default_rng(1)
    told = 0
    for call in drawn_calls(level.meter, level.figures, bars, setting):
        playing = Playing(level, level.figures, swinging(read, swing), seed=1)
        bar = call.bars[0]
        playing.put(bar, setting.tempo)
        run = played_course([call], setting).reply_run(0)
        late = 0.0 if straight else swing / 100 - 0.5
        places = [place + float(at) + late * (at == Fraction(1, 2)) for place, at in bar.onsets()]
        times = np.sort(run.begins + np.array(places) + 0.02 + rng.normal(0, 0.015, len(places)))
        reading = playing.take([Input("keys", "f", float(time)) for time in times], run, NOW).reading
        told += sum(said == figure for said, figure in zip(reading.figures, bar.figures, strict=True))
    assert told >= 0.975 * 4 * bars
    assert swinging(read, 50) is read


def known(firm: tuple[str, ...], in_work: tuple[str, ...]) -> Standing:
    """A standing in which some figures hold, and some were heard but do not."""
    counts = tuple(figure.count for figure in LEVEL.figures)
    heard = tuple(9 if count in firm else 2 if count in in_work else 0 for count in counts)
    chances = tuple(0.99 if count in firm else 0.3 + 0.05 * place for place, count in enumerate(counts))
    return Standing(LEVEL.name, NOW, NOW, counts, heard, (chances,) * len(HORIZONS))


def test_calls_are_made_of_figures_that_were_met() -> None:
    """Those that hold and the least firm one in work; with fewer than two of them others that were met, else none."""
    counts = tuple(figure.count for figure in LEVEL.figures)

    def met(firm: tuple[str, ...], in_work: tuple[str, ...]) -> list[str]:
        return [figure.count for figure in met_figures(LEVEL, known(firm, in_work), NOW)]

    assert met(counts[:3], counts[5:7]) == [*counts[:3], counts[5]]
    assert met((), counts[2:5]) == [counts[2], counts[4]]
    assert met(counts[:1], ()) == []
    assert met_figures(LEVEL, None, NOW) == ()
    assert len(known_figures(LEVEL, None, NOW)) == 2


@pytest.mark.parametrize("tempo", [60.0, 100.0, 180.0])
def test_the_groove_goes_on_to_the_end(tempo: float) -> None:
    """Count-in, then groove, call, answer for each call and groove again: in every bar a cymbal or a click sounds."""
    calls = drawn_calls(LEVEL.meter, LEVEL.figures, 4, Setting(tempo=tempo, seed=1), WAYS)
    course = played_course(calls, replace(SETTING, tempo=tempo))
    words = [part.word for part in course.parts]
    rest = words.index(CALL) - 1
    assert words == [COUNT_IN, *([GROOVE] * rest + [CALL, REPLY]) * 4, *[GROOVE] * rest]
    assert rest * course.bar_seconds >= REST > (rest - 1) * course.bar_seconds
    passage = course.hearing.passage
    struck = {(stroke.bar, stroke.beat) for stroke in passage.strokes}
    assert struck == {(bar, beat) for bar in range(passage.bars) for beat in range(1, 5)}
    assert course.hearing.words == tuple(words)


@pytest.mark.parametrize("bare", [False, True])
def test_an_answer_has_the_snare_to_itself(bare: bool) -> None:
    """Only click and cymbals sound under it; before a microphone the click alone."""
    course = played_course([CALLED], SETTING, bare)
    reply = course.parts.index(CoursePart(REPLY, 0))
    under = {stroke.instrument for stroke in course.hearing.passage.strokes if stroke.bar == reply}
    assert under == ({"click"} if bare else {"click", "closed-hat"})
    run = course.reply_run(0)
    assert run.begins == pytest.approx(reply * 4 * 60 / SETTING.tempo)
    assert run.ends < course.begins(reply + 2)
    figures = [(s.beat, s.at) for s in course.hearing.passage.strokes if s.bar == reply - 1 and s.figure]
    assert figures == [(beat + 1, at) for beat, at in BAR.onsets()]


def test_a_course_goes_on_on_the_bar_line() -> None:
    """Up to the line all sounds as before, to the stroke; bars that are long over are let go of."""
    calls = drawn_calls(LEVEL.meter, LEVEL.figures, 2, replace(SETTING, seed=1), WAYS)
    course = picked_course(calls, replace(SETTING, feel=1.0, swing=62.0), 0)
    assert course.calls_after(course.begins(2))
    where = course.begins(8) + 1.0
    assert not course.calls_after(where)
    line = course.line_after(where, 2.0)
    assert line == 9
    assert course.line_after(where, 2.5) == 10
    later, first = course.going_on(course.bar_at(where), line, call_parts(1))
    assert first == course.begins(8 - HISTORY)
    assert later.part_at(course.begins(line) - first + 0.1) == CoursePart(CALL, 1)
    assert later.call_over == pytest.approx(course.begins(line + 1) - first)
    assert len(later.parts) == HISTORY + 1 + 1 + AHEAD
    dropped = 8 - HISTORY
    kept = [replace(one, bar=one.bar + dropped) for one in later.hearing.passage.strokes]
    before = [one for one in course.hearing.passage.strokes if dropped <= one.bar < line]
    assert [one for one in kept if one.bar < line] == before


def test_what_still_rings_stays_in_the_sound() -> None:
    """The crash after a call is among the strokes of the sound that goes on, however the old bars are cut."""
    course = picked_course([CALLED, CALLED], SETTING, 0)
    for here in range(3, 3 + HISTORY):
        later, first = course.going_on(here, here + 1, call_parts(1))
        crashes = [time + first for time, stroke in later.hearing.passage.timed if stroke.instrument == "crash"]
        assert crashes[0] == pytest.approx(course.begins(3))


def test_a_course_that_nearly_ended_waits_for_its_line() -> None:
    """Where the line lies beyond the last bar, the groove fills the bars up to it."""
    course = picked_course([CALLED, CALLED], SETTING, 0)
    last = len(course.parts) - 1
    later, _ = course.going_on(last, last + 2, groove_parts(0, 1))
    assert [part.word for part in later.parts[HISTORY:]] == [GROOVE] * 3


def test_the_lot_is_one_chart_and_one_sentence() -> None:
    """Groove, call, answer, in that order; a beat that is not sure is the groove's; a sentence counts what was kept."""
    replies = [said(THE_CALL), said("1 | _ | 1 | 1"), said("_ | _ | _ | _"), said("1 | 1 | 1 | 1")]
    chart = replies_chart(replies, 1)
    silent = Figure(())
    assert chart.fills[::3] == (None,) * 4
    assert chart.fills[1::3] == (CALLED,) * 4
    assert chart.bars[2] == BAR
    assert chart.bars[5].figures[1] == silent
    assert [fill is None for fill in chart.fills[2::3]] == [False, False, True, False]
    assert (chart.phrase, chart.repeats) == (3, ())
    assert summary(replies) == (
        "1 of 4 answers kept the rule: the same as the call. To one call nothing was picked. "
        "In one a beat or more was left open."
    )
    assert summary(replies[3:]) == "0 of 1 answer kept the rule: the same as the call."
    assert summary([said("1 | 1 | 1 | 1", ReplyRule.OTHER)] * 2) == (
        "2 of 2 answers kept the rule: another fill of the figures allowed."
    )


@pytest.mark.parametrize("tempo", [60.0, 120.0, 180.0, 240.0])
@pytest.mark.parametrize("meter", ["2/4", "4/4"])
def test_the_chart_is_the_piece_as_it_was(meter: str, tempo: float) -> None:
    """Repeats played out, it has the very strokes of the course, but for clicks, cymbals under fills and velocities."""
    setting = Setting(tempo=tempo, seed=1, landing=True)
    calls = drawn_calls(METERS[meter], LEVEL.figures[:6], 4, setting, WAYS)
    replies = [reply_picked(call, other.figures, ReplyRule.OTHER, ALLOWED)
               for call, other in zip(calls, calls[1:] + calls[:1], strict=True)]  # fmt: skip
    course = played_course(calls, setting)
    played = replies_chart(replies, rest_bars(calls[0].meter, tempo)).arranged(setting)
    kept = (GROOVE, CALL)
    wanted = {
        (stroke.bar, stroke.beat, stroke.at, stroke.instrument)
        for stroke in course.hearing.passage.strokes
        if (word := course.parts[stroke.bar].word) in kept and (stroke.figure or word == GROOVE)
    }
    words = [part.word for part in course.parts]
    # The closing groove is not written: there the last fill lands, on its 1 alone.
    last = len(words) - words[::-1].index(REPLY)
    found = {
        (stroke.bar, stroke.beat, stroke.at, stroke.instrument)
        for stroke in played.strokes
        if stroke.bar < last and words[stroke.bar] in kept
    }
    assert found == {one for one in wanted if one[0] < last}
    assert played.bars == last


def test_a_rest_on_a_beat_is_said() -> None:
    """A beat that was left silent counts as another figure, in the brackets of the count."""
    reply = Reply(CALLED, (*BAR.figures[:3], Figure(())), ReplyRule.SAME, ALLOWED, CALLED)
    assert reply.sentence() == "Another: (4) for 4."
    assert Bar(BAR.meter, reply.figures).count.endswith("(4)")
