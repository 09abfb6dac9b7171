"""Call and answer: which calls come, how they sound, and what is said of the answers, without window and clock."""

from dataclasses import replace

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
    drawn_calls,
    groove_parts,
    picked_course,
    played_course,
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
from shared.fills import fill_of
from shared.levels import find_level
from shared.notation.chart_page import lay_out_chart
from shared.orchestration import Setting
from shared.playability import cautions

LEVEL = find_level("stage-4")
SETTING = Setting(tempo=72.0)
CALLED = parse_bar("1 2 & 3 e & a 4")
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
    playing.put(CALLED, SETTING.tempo)
    run, rng = course.reply_run(0), np.random.default_rng(5)
    beat = run.hearing.passage.beat_seconds
    onsets = [place + float(at) for place, at in CALLED.onsets()]
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
    playing.put(CALLED, SETTING.tempo)
    run = played_course([CALLED], SETTING).reply_run(0)
    struck = [Input("keys", "f", run.begins + beat * 60 / SETTING.tempo) for beat in (0, 1, 3)]
    reply = reply_played(CALLED, playing.take(struck, run, NOW).reading, ReplyRule.OTHER, ALLOWED)
    assert reply.fill is not None
    assert reply.fill.count == "1 2 (3) 4"
    assert reply.fill.figures[2] == Figure(())
    (line,) = lay_out_chart(replies_chart([reply]), SETTING)
    assert line.layouts[1].label == "1 2 (3) 4"


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
    playing.put(CALLED, SETTING.tempo)
    played = playing.take([], played_course([CALLED], SETTING).reply_run(0), NOW)
    reply = reply_played(CALLED, played.reading, ReplyRule.OTHER, ALLOWED)
    assert (reply.sentence(), reply.fill, reply.kept) == ("Nothing came in.", None, False)
    assert replies_chart([reply]).fills[1] is None


@pytest.mark.parametrize("tempo", [60.0, 120.0, 200.0])
@pytest.mark.parametrize("meter", ["2/4", "3/4", "4/4"])
def test_calls_can_be_played(meter: str, tempo: float) -> None:
    """Eight different bars of the figures allowed, the same for one seed, that hands can play at the tempo."""
    calls = drawn_calls(METERS[meter], LEVEL.figures, 8, tempo, seed=4)
    assert calls == drawn_calls(METERS[meter], LEVEL.figures, 8, tempo, seed=4)
    assert calls != drawn_calls(METERS[meter], LEVEL.figures, 8, tempo, seed=5)
    assert len(set(calls)) == 8
    for bar in calls:
        assert set(bar.figures) <= set(LEVEL.figures)
        assert len(set(bar.figures)) > 1
        assert not cautions(fill_of([bar]), tempo)


def test_calls_at_a_tempo_beyond_hands_come_all_the_same() -> None:
    """Where nothing can be played so fast there is still a call for each place."""
    assert len(drawn_calls(METERS["4/4"], [parse_figure("1 e & a"), parse_figure("1 e &")], 4, 400.0, seed=1)) == 4


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
    calls = drawn_calls(LEVEL.meter, LEVEL.figures, 4, tempo, seed=1)
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
    assert figures == [(beat + 1, at) for beat, at in CALLED.onsets()]


def test_a_course_goes_on_on_the_bar_line() -> None:
    """Up to the line all sounds as before, to the stroke; bars that are long over are let go of."""
    calls = drawn_calls(LEVEL.meter, LEVEL.figures, 2, 72, seed=1)
    course = picked_course(calls, SETTING, 0)
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
    strokes = [(round(time + first, 6), stroke.instrument) for time, stroke in later.hearing.passage.timed]
    before = [(round(time, 6), stroke.instrument) for time, stroke in course.hearing.passage.timed]
    until = course.begins(line) - 0.001
    assert [one for one in strokes if one[0] < until] == [one for one in before if first - 0.001 <= one[0] < until]


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
    """Calls and answers in a row; a beat that is not sure is the groove's; the sentence counts what kept the rule."""
    replies = [said(THE_CALL), said("1 | _ | 1 | 1"), said("_ | _ | _ | _"), said("1 | 1 | 1 | 1")]
    chart = replies_chart(replies)
    silent = Figure(())
    assert [bar.figures for bar in chart.bars[::2]] == [CALLED.figures] * 4
    assert chart.bars[1] == CALLED
    assert chart.bars[3].figures[1] == silent
    assert [fill is None for fill in chart.fills] == [False] * 5 + [True] + [False] * 2
    assert summary(replies) == (
        "1 of 4 answers kept the rule: the same as the call. To one call nothing was picked. "
        "In one a beat or more was left open."
    )
    assert summary(replies[3:]) == "0 of 1 answer kept the rule: the same as the call."
    assert summary([said("1 | 1 | 1 | 1", ReplyRule.OTHER)] * 2) == (
        "2 of 2 answers kept the rule: another fill of the figures allowed."
    )


def test_a_rest_on_a_beat_is_said() -> None:
    """A beat that was left silent counts as another figure, in the brackets of the count."""
    reply = Reply(CALLED, (*CALLED.figures[:3], Figure(())), ReplyRule.SAME, ALLOWED, fill_of([CALLED]))
    assert reply.sentence() == "Another: (4) for 4."
    assert Bar(CALLED.meter, reply.figures).count.endswith("(4)")
