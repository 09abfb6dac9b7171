"""Writing a fill: by figures, by its count, stroke by stroke, and from what was played."""

from dataclasses import replace
from fractions import Fraction

from hypothesis import given
from hypothesis import strategies as st

from audio.reading import read
from game.sessions.fills.draft import Draft, blank, counted, draft_of
from game.sessions.fills.heard import as_chart, hearing_of
from game.sessions.fills.known import known_figures
from game.sessions.fills.playing_in import taken_in, taking_in
from game.sessions.fills.riddle import asked_beats, riddle_answer
from game.sessions.playing.playing import CUED
from game.sessions.progress.standing import HORIZONS, Standing
from shared.bars import METERS
from shared.counting import parse_bar, parse_figure
from shared.fills import Fill, fill_of
from shared.levels import find_level, vocabulary
from shared.orchestration import Setting
from shared.strokes import TakeStroke
from tests.shared.fills import fill

BLANK = blank(METERS["4/4"])
ROUND = draft_of(fill("1 e a 2 & 3 4", "sss hh m f"))


def drums(draft: Draft, beat: int) -> list[tuple[str, ...]]:
    found = draft.fill.beats[beat]
    return [stroke.drums for stroke in found.strokes] if found else []


def test_a_typed_count_is_the_fill_letter_by_letter() -> None:
    """Beats left out or still to come go on with the groove; a fault changes no beat and says where it is."""
    typed = BLANK.with_count("3 e a")
    assert typed.fill.count == "(1) (2) 3 e a (4)"
    assert typed.fill.played == (2,)
    faulty = typed.with_count("3 e zz")
    assert (faulty.fill, faulty.text) == (typed.fill, "3 e zz")
    assert faulty.fault.startswith("character 5, 'zz'")
    assert BLANK.with_count("3 2").fault.startswith("character 3, '2': count on in time order")
    assert BLANK.with_count("5").fault.startswith("character 1, '5': 4/4 has 4 beats")
    assert BLANK.with_count("1 2 | 3").fault.startswith("character 5, '|': a bar too many; the fill has 1")


def test_a_bracketed_beat_is_silent_and_one_left_out_is_the_grooves() -> None:
    """The count of a fill says the same of both when it is typed again, in whichever bar they lie."""
    typed = BLANK.with_length(2).with_count("(3) 4 & | 2 e (3) e")
    assert [beat is not None for beat in typed.fill.beats] == [False, False, True, True, False, True, True, False]
    assert typed.fill.played == (2, 3, 5, 6)
    assert counted(typed.fill) == "(3) 4 & | 2 e (3) e"
    late = BLANK.with_length(2).with_count("| 4")
    assert (late.fill.played, counted(late.fill)) == ((7,), "| 4")


def test_two_bars_are_typed_with_a_stroke_between() -> None:
    """The second bar's faults are told at their place in the whole text."""
    two = BLANK.with_length(2)
    typed = two.with_count("1 & 2 | (1) 2 3 e & a 4")
    assert typed.fill.count == "1 & 2 (3) (4) | (1) 2 3 e & a 4"
    assert two.with_count("1 2 3 4 | 1 xx").fault.startswith("character 13, 'xx'")


def test_typing_on_keeps_drums_and_hands() -> None:
    """Only the beats whose figure changed are made anew; strokes that stay keep their drum."""
    changed = ROUND.with_count("1 e a 2 & 3 & 4")
    assert drums(changed, 0) == [("snare",)] * 3
    assert drums(changed, 2) == [("mid-tom",), ("mid-tom",)]


@given(
    st.lists(st.sampled_from(["+", "-", "up", "down", "shift", "harder", "hand", "kick", "tom", "out", "two", "one"]))
)
def test_no_series_of_acts_breaks_a_fill(acts: list[str]) -> None:
    """Whatever is done stroke by stroke, the place at hand is there, and the count is that of the fill."""
    draft = ROUND
    for act in acts:
        draft = {
            "+": lambda d: d.moved(1),
            "-": lambda d: d.moved(-1),
            "up": lambda d: d.higher(1),
            "down": lambda d: d.higher(-1),
            "shift": lambda d: d.beat_higher(1),
            "harder": Draft.harder,
            "hand": lambda d: d.other_hand("R"),
            "kick": lambda d: d.together("kick"),
            "tom": lambda d: d.together("floor-tom"),
            "out": Draft.left_out,
            "two": lambda d: d.with_length(2),
            "one": lambda d: d.with_length(1),
        }[act](draft)
        beat = draft.fill.beats[draft.beat]
        assert draft.stroke == 0 or (beat and draft.stroke < len(beat.strokes))
        assert draft.text == counted(draft.fill)


def test_a_stroke_goes_up_and_down_the_staff() -> None:
    """Up leads from the snare to the mid tom and on to the crash, down to the bass drum, and no further."""
    assert drums(ROUND.higher(1), 0)[0] == ("mid-tom",)
    highest, lowest = ROUND, ROUND
    for _ in range(12):
        highest, lowest = highest.higher(1), lowest.higher(-1)
    assert (drums(highest, 0)[0], drums(lowest, 0)[0]) == (("crash",), ("kick",))
    assert drums(ROUND.beat_higher(1), 0) == [("mid-tom",)] * 3


def test_force_and_hand_turn_round() -> None:
    """Plain, accent, ghost on the snare and plain again; no ghost on a tom; a hand turned twice is the rule's."""
    forces = [ROUND.harder(), ROUND.harder().harder(), ROUND.harder().harder().harder()]
    assert [one.here.force for one in forces if one.here] == ["accent", "ghost", "plain"]
    tom = ROUND.at(1)
    assert tom.harder().harder().here == tom.here
    turned = ROUND.other_hand("R")
    assert turned.here is not None
    assert turned.here.hand == "L"
    assert turned.other_hand("R").fill == ROUND.fill


def test_leaving_out_makes_another_figure_or_gives_the_beat_to_the_groove() -> None:
    """Without its e, 1 e a is 1 a; without its only stroke a beat goes on with the groove."""
    assert ROUND.at(0, 1).left_out().fill.count == "1 a 2 & 3 4"
    assert ROUND.at(3).left_out().fill.count == "1 e a 2 & 3 (4)"


def test_another_meter_keeps_what_fits() -> None:
    """From 4/4 to 3/4 the first three beats stay; compound beats take none of them."""
    assert ROUND.in_meter(METERS["3/4"]).fill.count == "1 e a 2 & 3"
    assert ROUND.in_meter(METERS["6/8"]).fill.played == ()


def played(one: Fill, tempo: float, late: float = 0.02) -> list[TakeStroke]:
    beat = 60 / tempo
    cue = [TakeStroke((k - CUED) * beat + late, "R") for k in range(CUED)]
    return [*cue, *(TakeStroke((p.beat + float(p.at)) * beat + late, p.hands[0][1]) for p in one.placed())]


def test_what_is_played_stands_there_as_notation() -> None:
    """Strokes along a click, 20 ms late all of them, are read into the figures that were played, hands and all."""
    one = fill_of([parse_bar("1 e a 2 & 3 e & a 4 & a")])
    figures = (*find_level("stage-4").figures, parse_figure("(1)"))
    run = taking_in(one.meter, 1, 80)
    assert (run.begins, run.beats) == (3.0, 4)
    reading = read(tuple(played(one, 80)), figures, 80, run.beats, cued=CUED)
    draft, words = taken_in(BLANK, reading)
    assert draft.fill.count == one.count
    assert [p.hands for p in draft.fill.placed()] == [p.hands for p in one.placed()]
    assert words == "This is what you played."


def test_beats_that_are_not_sure_are_named() -> None:
    """Whoever played hears which beats could not be told, and the draft keeps these as they were."""
    reading = read(tuple(played(ROUND.fill, 80)), find_level("stage-4").figures, 80, 4, cued=CUED)
    figures = (reading.figures[0], None, None, reading.figures[3])
    unsure = replace(reading, beats=tuple(replace(b, figure=f) for b, f in zip(reading.beats, figures, strict=True)))
    draft, words = taken_in(ROUND, unsure)
    assert words.endswith("Beats 2 and 3 could be either of two figures, so they stay as before.")
    assert draft.fill.figures[1] == ROUND.fill.figures[1]


def test_nothing_played_changes_nothing() -> None:
    """A take without a stroke leaves the fill as it was, and says so."""
    reading = read((), find_level("stage-4").figures, 80, 4, cued=CUED)
    draft, words = taken_in(ROUND, reading)
    assert draft == ROUND
    assert words.startswith("Nothing came in")
    # Whoever strikes along with the count-in, and is then called away, has written nothing either.
    cue = tuple(TakeStroke((k - CUED) * 0.75) for k in range(CUED))
    draft, words = taken_in(ROUND, read(cue, find_level("stage-4").figures, 80, 4, cued=CUED))
    assert draft == ROUND
    assert words.startswith("Nothing came in")


def test_drums_and_force_of_pads_are_kept() -> None:
    """A stroke whose drum is known goes there, a hard one is an accent."""
    strokes = [[(Fraction(0), TakeStroke(0.0, "L", "floor-tom", 0.95))], [], [], []]
    draft = BLANK.as_played([parse_figure("1"), None, parse_figure("(1)"), None], strokes)
    assert draft.fill.count == "1 (2) (3) (4)"
    assert draft.here is not None
    assert (draft.here.drums, draft.here.force, draft.here.hand) == (("floor-tom",), "accent", "L")


def test_a_fill_is_heard_after_its_groove() -> None:
    """Count-in, the bars of groove and the fill, each with its word; again without a gap; a crash at the end."""
    hearing = hearing_of(ROUND.fill, Setting(groove_bars=3))
    assert hearing.words == ("Count-in", "Groove", "Groove", "Groove", "Fill")
    assert hearing.passage.bars == 5
    assert [s.bar for s in hearing.passage.strokes if s.instrument == "crash"] == [5]
    loop = hearing_of(ROUND.fill, Setting(groove_bars=3, count_in=False), 2)
    assert loop.words == ("Groove", "Groove", "Groove", "Fill") * 2
    assert loop.loop
    assert as_chart(ROUND.fill, 3).bars[3] == ROUND.fill.bars[0]


def test_variations_draw_on_what_is_firm_and_one_in_work() -> None:
    """The firm figures and the least firm that was heard; a new player has the level's first two."""
    level = find_level("stage-2")
    counts = tuple(figure.count for figure in level.figures)
    assert known_figures(level, None, 0.0) == tuple(f for f in level.figures if f.onsets)[:2]
    recall = tuple(tuple(0.97 if k < 2 else 0.4 + 0.1 * k for k in range(len(counts))) for _ in HORIZONS)
    standing = Standing(level.name, 0.0, 0.0, counts, (5,) * len(counts), recall)
    struck = [figure for figure in level.figures if figure.onsets]
    assert known_figures(level, standing, 0.0) == tuple(struck[:3])


def test_a_riddle_asks_each_figure_of_the_fill() -> None:
    """Its beats are asked in order, the choices hold them all, and what is said is right or not beat by beat."""
    late = fill_of([parse_bar("1 & 2 & 3 e a 4 & a")], beats=[2, 3])
    known = (*find_level("stage-1").figures, *vocabulary().figures)
    answer = riddle_answer(late, known, "5")
    assert answer.asked == asked_beats(late) == (2, 3)
    assert {parse_figure("1 e a"), parse_figure("1 & a")} <= set(answer.choices)
    assert len(set(answer.choices)) == len(answer.choices) == 6
    # Of semiquavers it is told by semiquavers: shorter notes would be seen to be wrong.
    assert not any(figure.grid.name == "demisemiquaver" for figure in answer.choices)
    said = answer.pick(parse_figure("1 e a")).pick(parse_figure("1 & a"))
    assert said.complete
    assert said.right == (True, True)
    assert answer.pick(parse_figure("1 & a")).place == 1
    assert answer.at(1).pick(parse_figure("1 & a")).place == 0
