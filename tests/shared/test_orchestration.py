"""A bar on the kit keeps every figure stroke at its exact place, whatever is played around it."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given

from shared.bars import METERS, Bar, Meter
from shared.counting import parse_bar
from shared.instruments import INSTRUMENTS
from shared.orchestration import ORCHESTRATIONS, Setting, SettingError, arrange, groove_figure
from shared.passages import Passage, Stroke
from shared.sticking import OTHER
from tests.shared.strategies import BARS, SETTINGS

HALF = Fraction(1, 2)


def place(stroke: Stroke) -> tuple[int, Fraction]:
    return stroke.beat - 1, stroke.at


def figure_strokes(music: Passage) -> list[Stroke]:
    return [stroke for stroke in music.strokes if stroke.figure]


def bar_of(count: str, **changes: object) -> Passage:
    """The figures' own bar alone, unless the changes ask for more."""
    return arrange(parse_bar(count), replace(Setting(count_in=False), **changes))


def instruments(music: Passage, bar: int = 0) -> str:
    """The instruments of one bar in order, those together in one group."""
    groups: dict[tuple[int, Fraction], list[str]] = {}
    for stroke in music.strokes:
        if stroke.bar == bar:
            groups.setdefault(place(stroke), []).append(stroke.instrument)
    return " ".join("+".join(group) for group in groups.values())


@given(BARS, SETTINGS)
def test_every_asked_stroke_is_played_in_its_place(bar: Bar, setting: Setting) -> None:
    """The figure strokes are exactly the onsets of the asked beats, each once, in the figures' bar."""
    music = arrange(bar, setting)
    asked = ORCHESTRATIONS[setting.orchestration].asked(bar.meter)
    strokes = figure_strokes(music)
    assert [place(stroke) for stroke in strokes] == [onset for onset in bar.onsets() if onset[0] in asked]
    assert {stroke.bar for stroke in strokes} <= {music.figure_bar}


def landed(setting: Setting) -> bool:
    """Whether a crash follows the bar."""
    return setting.landing and ORCHESTRATIONS[setting.orchestration].asked_beats is not None


@given(BARS, SETTINGS)
def test_strokes_are_playable(bar: Bar, setting: Setting) -> None:
    """Every stroke has an instrument of the kit, a loudness, a place in the passage, and a hand unless a foot plays."""
    music = arrange(bar, setting)
    for stroke in music.strokes:
        assert 0 <= stroke.bar < music.bars + landed(setting)
        assert 1 <= stroke.beat <= bar.meter.beats
        assert 0 <= stroke.at < 1
        assert 0 < stroke.velocity <= 1
        assert stroke.hand in {None, "R", "L"}
        assert stroke.hand is None or not INSTRUMENTS[stroke.instrument].foot


@given(BARS, SETTINGS)
def test_a_drummer_could_play_what_is_heard(bar: Bar, setting: Setting) -> None:
    """At one place each instrument and each hand has at most one stroke."""
    strokes = arrange(bar, setting).strokes
    played = [(stroke.bar, *place(stroke), stroke.instrument) for stroke in strokes]
    assert len(played) == len(set(played))
    hands = [(stroke.bar, *place(stroke), stroke.hand) for stroke in strokes if stroke.hand]
    assert len(hands) == len(set(hands))


@given(BARS, SETTINGS)
def test_the_same_seed_plays_the_same(bar: Bar, setting: Setting) -> None:
    """A passage follows from the bar and the setting alone."""
    assert arrange(bar, setting) == arrange(bar, setting)


def test_another_seed_plays_otherwise() -> None:
    """Random toms, kicks and feel differ from seed to seed."""
    count = "1 e & a 2 e & a 3 e & a 4 e & a"
    for changes in ({"orchestration": "toms"}, {"orchestration": "kick-and-snare"}, {"feel": 1.0}):
        assert bar_of(count, seed=1, **changes) != bar_of(count, seed=2, **changes)


@given(BARS, SETTINGS)
def test_left_handers_hear_the_same(bar: Bar, setting: Setting) -> None:
    """Left-hand lead swaps every hand and changes nothing that is heard."""
    right, left = (arrange(bar, replace(setting, lead=lead)) for lead in "RL")
    mirrored = [replace(stroke, hand=OTHER[stroke.hand] if stroke.hand else None) for stroke in right.strokes]
    assert tuple(mirrored) == left.strokes


@given(BARS, SETTINGS)
def test_the_figures_come_last(bar: Bar, setting: Setting) -> None:
    """Count-in and groove bars come before the figures' bar, and nothing after it."""
    music = arrange(bar, setting)
    assert music.figure_bar == setting.count_in + setting.groove_bars
    assert music.bars == music.figure_bar + 1


def test_the_count_in_is_a_bar_of_sticks() -> None:
    """One stick a beat, the first one loudest."""
    music = bar_of("1 2 3", count_in=True)
    sticks = [stroke for stroke in music.strokes if stroke.instrument == "sticks"]
    assert [(stroke.bar, stroke.beat, stroke.at) for stroke in sticks] == [(0, 1, 0), (0, 2, 0), (0, 3, 0)]
    assert sticks[0].velocity > sticks[1].velocity == sticks[2].velocity


@pytest.mark.parametrize(
    ("meter", "groove"),
    [
        ("2/4", "kick+closed-hat closed-hat snare+closed-hat closed-hat"),
        ("3/4", "kick+closed-hat closed-hat closed-hat closed-hat snare+closed-hat closed-hat"),
        ("4/4", " ".join(["kick+closed-hat closed-hat snare+closed-hat closed-hat"] * 2)),
        ("6/8", "kick+closed-hat closed-hat closed-hat snare+closed-hat closed-hat closed-hat"),
    ],
)
def test_the_groove_is_straight_quavers(meter: str, groove: str) -> None:
    """Hi-hat quavers over bass drum on 1 and 3 and backbeat on 2 and 4 (common practice, no source)."""
    rest = Bar(METERS[meter], (groove_figure(METERS[meter].compound),) * METERS[meter].beats)
    music = arrange(rest, Setting(groove_bars=1, count_in=False))
    assert instruments(music) == groove


def test_down_the_kit_gives_each_beat_a_drum() -> None:
    """Snare, high tom, mid tom, floor tom (common practice, no source)."""
    assert instruments(bar_of("1 a 2 3 & 4", orchestration="down-the-kit")) == (
        "snare snare high-tom mid-tom mid-tom floor-tom"
    )


def test_hands_stay_on_their_drums() -> None:
    """The leading hand plays the floor tom, the other the snare, by the natural sticking R L L R R."""
    assert instruments(bar_of("1 e a 2 &", orchestration="hands")) == "floor-tom snare snare floor-tom floor-tom"


def test_kick_and_snare_share_the_figure() -> None:
    """Under hi-hat quavers the beats are kick and snare in turn, as in a groove."""
    music = bar_of("1 2 3 4", orchestration="kick-and-snare")
    assert instruments(music) == " ".join(["kick+closed-hat closed-hat snare+closed-hat closed-hat"] * 2)


@pytest.mark.parametrize(("name", "cymbal"), [("hat", "closed-hat"), ("ride", "ride")])
def test_cymbals_play_the_figure(name: str, cymbal: str) -> None:
    """The figure is on the cymbal, kick and snare only mark the beats."""
    music = bar_of("1 e a (2) & 3 4", orchestration=name)
    assert {stroke.instrument for stroke in figure_strokes(music)} == {cymbal}
    assert {place(stroke)[1] for stroke in music.strokes if not stroke.figure} == {Fraction(0)}


def test_accents_mark_where_figures_begin() -> None:
    """The first stroke of each beat is an accent, the others are ghost notes."""
    music = bar_of("1 e a (2) & a", orchestration="accents")
    assert instruments(music) == "snare ghost ghost snare ghost"
    assert [stroke.accent for stroke in music.strokes] == [True, False, False, True, False]


@pytest.mark.parametrize(("name", "length"), [("fill-1", 1), ("fill-2", 2)])
@pytest.mark.parametrize("meter", METERS.values(), ids=str)
def test_fills_ask_the_last_beats(name: str, length: int, meter: Meter) -> None:
    """A fill asks its own beats, counted from the end of the bar; the beats before are groove."""
    asked = ORCHESTRATIONS[name].asked(meter)
    assert asked == tuple(range(meter.beats - length, meter.beats))


def test_a_fill_starts_on_beat_three_of_a_groove() -> None:
    """The first two beats are groove, the last two the fill, snare then floor tom (common practice, no source)."""
    music = bar_of("1 e & a 2 e & a 3 e a 4 &", orchestration="fill-2")
    assert instruments(music) == (
        "kick+closed-hat closed-hat snare+closed-hat closed-hat snare snare snare floor-tom floor-tom"
    )


def test_a_fill_starts_with_the_leading_hand() -> None:
    """What is not played of the bar does not turn the hands over."""
    music = bar_of("1 trip let 2 3 e a 4", orchestration="fill-2")
    assert "".join(stroke.hand or "-" for stroke in figure_strokes(music)) == "RLLR"


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_a_fill_lands_on_the_next_one(name: str) -> None:
    """Crash and bass drum sound on the 1 after a fill (common practice, no source), and after nothing else."""
    landing = [one for one in bar_of("1 2 3 e a 4", orchestration=name, landing=True).strokes if one.bar == 1]
    fill = name.startswith("fill")
    assert [(one.beat, one.at, one.instrument) for one in landing] == [(1, 0, "kick"), (1, 0, "crash")] * fill
    assert not any(one.bar for one in bar_of("1 2 3 e a 4", orchestration=name).strokes)


def test_a_crash_opens_the_groove() -> None:
    """The first 1 of the groove is struck on the crash in place of the hi-hat, and nothing of the figures' bar is."""
    music = bar_of("1 e a 2", orchestration="snare", groove_bars=2, opening=True)
    assert instruments(music).startswith("kick+crash closed-hat snare+closed-hat")
    assert "crash" not in instruments(music, 1) + instruments(music, 2)
    assert "crash" not in instruments(bar_of("1 e a 2", opening=True))


@pytest.mark.parametrize("name", [name for name, row in ORCHESTRATIONS.items() if row.asked_beats is None])
def test_other_orchestrations_ask_every_beat(name: str) -> None:
    """Whole bars of figures are asked whole."""
    assert ORCHESTRATIONS[name].asked(METERS["4/4"]) == (0, 1, 2, 3)


CONTRAST = parse_bar("1 e a 2 & a").figures


@pytest.mark.parametrize("name", ORCHESTRATIONS)
def test_contrast_moves_no_stroke(name: str) -> None:
    """Where a difference is brought out, every stroke stays in its place; only how loud it is changes."""
    bar, setting = parse_bar("1 e a 2 & a 3 e a 4 & a"), Setting(name, groove_bars=1, seed=5)
    plain, contrasted = (arrange(bar, replace(setting, contrast=figures)).strokes for figures in ((), CONTRAST))
    assert [(one.bar, *place(one), one.hand) for one in plain] == [(o.bar, *place(o), o.hand) for o in contrasted]
    asked = ORCHESTRATIONS[name].asked(bar.meter)
    loud = {place(one) for one in contrasted if one.figure and one.velocity == 1.0 and one.instrument != "ghost"}
    assert loud >= {(beat, Fraction(1 + beat % 2, 4)) for beat in asked}
    assert all(one.velocity < 1.0 for one in contrasted if one.figure and place(one) not in loud)
    assert {beat_and_at for beat_and_at in loud if beat_and_at[1] in (0, Fraction(3, 4))} == set()


def test_contrast_leaves_other_figures_alone() -> None:
    """A third figure in the bar sounds as it always does."""
    strokes, plain = bar_of("1 e a 2 & a 3 & 4", contrast=CONTRAST).strokes, bar_of("1 2 3 & 4").strokes
    assert [one.velocity for one in strokes if one.beat > 2] == [one.velocity for one in plain if one.beat > 2]


def test_the_click_marks_the_beats() -> None:
    """One click a beat in the figures' bar only."""
    music = bar_of("1 2 & (3) 4", click=True, groove_bars=1)
    clicks = [(stroke.bar, stroke.beat, stroke.at) for stroke in music.strokes if stroke.instrument == "click"]
    assert clicks == [(1, beat, 0) for beat in (1, 2, 3, 4)]


def moves(music: Passage) -> dict[tuple[int, Fraction], float]:
    """How far each place is moved, in beats."""
    return {place(stroke): stroke.moved / music.beat_seconds for stroke in music.strokes}


def test_swing_delays_the_second_quaver() -> None:
    """Two thirds of the pair to the first quaver puts & where ``let`` is: a sixth of a beat late. Arithmetic."""
    moved = moves(bar_of("1 & 2 &", swing=200 / 3))
    assert moved == pytest.approx({(0, 0): 0, (0, HALF): 1 / 6, (1, 0): 0, (1, HALF): 1 / 6})


def test_swing_moves_semiquavers_where_there_are_some() -> None:
    """With semiquavers in the bar their pairs swing, and beat and & stay."""
    moved = moves(bar_of("1 e & a", swing=75))
    quarter = Fraction(1, 4)
    assert moved == pytest.approx({(0, 0): 0, (0, quarter): 1 / 8, (0, HALF): 0, (0, 3 * quarter): 1 / 8})


@given(BARS, SETTINGS)
def test_straight_strokes_do_not_move(bar: Bar, setting: Setting) -> None:
    """Without swing and feel every stroke is exactly in its place."""
    music = arrange(bar, replace(setting, swing=50, feel=0.0))
    assert {stroke.moved for stroke in music.strokes} <= {0}


@pytest.mark.parametrize("count", ["1 (la) ta li 2 la li", "1 la li 2 la li", "(1) (la) ta (li) (2) (la) ta (li)"])
def test_compound_beats_do_not_swing(count: str) -> None:
    """A beat in three has no pair of quavers to swing."""
    assert set(moves(bar_of(count, swing=75, groove_bars=1)).values()) == {0}


@given(BARS, SETTINGS)
def test_feel_stays_inside_its_figure(bar: Bar, setting: Setting) -> None:
    """Feel moves no stroke by more than 10 ms, nor by more than 1/48 of a beat.

    1/48 is half-way between 1/8 and 1/6, the nearest places of any two grids.  A trained drummer's
    timing varies by 10-20 ms about the grid (several studies, from memory).
    """
    music = arrange(bar, replace(setting, swing=50))
    limit = min(0.010, music.beat_seconds / 48)
    assert all(abs(stroke.moved) <= limit for stroke in music.strokes)


def test_feel_leaves_count_in_and_click_exact() -> None:
    """The player's reference does not waver."""
    music = bar_of("1 e & a 2 e & a", feel=1.0, click=True, count_in=True)
    steady = [stroke.moved for stroke in music.strokes if stroke.instrument in ("sticks", "click")]
    assert len(steady) == 4
    assert set(steady) == {0}
    assert any(stroke.moved for stroke in figure_strokes(music))


def test_slower_stays_in_range() -> None:
    """A slower hearing keeps all else, and never falls below the slowest tempo."""
    setting = Setting(orchestration="toms", tempo=80, seed=3)
    assert setting.slower(0.5) == replace(setting, tempo=40)
    assert setting.slower(0.1).tempo == 20


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"orchestration": "kazoo"}, "orchestration 'kazoo': choose from snare, down-the-kit"),
        ({"groove_bars": 4}, "groove bars 4: choose from 0 to 3"),
        ({"groove_bars": -1}, "groove bars -1"),
        ({"swing": 49}, "swing 49"),
        ({"swing": 76}, "swing 76"),
        ({"swing": float("nan")}, "swing nan"),
        ({"feel": 1.5}, "feel 1.5"),
        ({"feel": float("nan")}, "feel nan"),
        ({"lead": "X"}, "leading hand 'X'"),
    ],
)
def test_refuses_other_settings(changes: dict[str, object], words: str) -> None:
    """A way of playing that does not exist is refused with those that do."""
    with pytest.raises(SettingError, match=words):
        Setting(**changes)  # type: ignore[arg-type]


def test_every_orchestration_says_what_it_does() -> None:
    """Each has its own name and one line for the list of them."""
    for name, row in ORCHESTRATIONS.items():
        assert name == row.name
        assert 10 < len(row.about) < 90
        assert row.about.isprintable()


def test_hats_down_leaves_the_figure() -> None:
    """Turned down, the hi-hat around the figures keeps four tenths of its velocity; nothing else changes."""
    for name, quieter in (("kick-and-snare", True), ("hat", False)):
        loud = bar_of("1 e a 2 &", orchestration=name)
        soft = bar_of("1 e a 2 &", orchestration=name, hats_down=True)
        shares = {
            (s.instrument, s.figure, round(t.velocity / s.velocity, 3))
            for s, t in zip(loud.strokes, soft.strokes, strict=True)
        }
        assert {share for hat, figure, share in shares if hat == "closed-hat" and not figure} == (
            {0.4} if quieter else set()
        )
        assert {share for hat, figure, share in shares if hat != "closed-hat" or figure} == {1.0}
        assert replace(soft, strokes=loud.strokes) == loud
