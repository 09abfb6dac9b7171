"""``drumlin explain`` says of each beat what a drummer would."""

import contextlib
import io
import json
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.__main__ import main
from shared.bars import METERS, Bar
from shared.counting import parse_bar
from shared.levels import vocabulary

KEYS = [
    "beat", "count", "onsets", "sticking", "spelling", "spellings", "uk", "us", "takadimi", "kodaly", "french",
]  # fmt: skip


def explained(*words: str) -> tuple[int, str, str]:
    """Run ``explain`` where no fixture can be had."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = main(["explain", *words])
    return code, out.getvalue(), err.getvalue()


def test_json_of_a_beat(drumlin) -> None:
    """A beat in JSON: names and sticking by common practice, Takadimi after Hoffman, Pelto & White (1996)."""
    told = json.loads(drumlin("explain", "1 e a 2 (3) & (4)", "--json").out)
    assert told["meter"] == "4/4"
    first = told["beats"][0]
    assert list(first) == KEYS
    assert first == {
        "beat": 1,
        "count": "1 e a",
        "onsets": ["0", "1/4", "3/4"],
        "sticking": "R L L",
        "spelling": "s e s",
        "spellings": ["s e s", "s s -s s"],
        "uk": "semiquaver, quaver, semiquaver",
        "us": "sixteenth, eighth, sixteenth",
        "takadimi": "ta ka mi",
        "kodaly": "ka ti ka",
        "french": "ta fa fé",
    }


def test_counts_join_to_the_bar(drumlin) -> None:
    """The beats' counts one after another are the bar's count."""
    beats = json.loads(drumlin("explain", "1 e a 2 & 3 trip let (4)", "--json").out)["beats"]
    assert " ".join(beat["count"] for beat in beats) == "1 e a 2 & 3 trip let (4)"


def test_left_handed_sticking(drumlin) -> None:
    """A left-hander plays the same figure with the other hands (common practice, no source)."""
    beats = json.loads(drumlin("explain", "1 e a", "--left-handed", "--json").out)["beats"]
    assert beats[0]["sticking"] == "L R R"


def test_seconds_follow_the_tempo(drumlin) -> None:
    """At 60 a minute a beat lasts a second, so places in the bar are seconds."""
    out = drumlin("explain", "1 e a 2 &", "--tempo", "60").out
    assert "seconds: 0.000, 0.250, 0.750 from the start of the bar" in out
    assert "seconds: 1.000, 1.500 from the start of the bar" in out


def test_words_stand_in_lines(drumlin) -> None:
    """Every fact of a beat is one line with its title first, which a screen reader reads in order."""
    lines = drumlin("explain", "1 e a 2").out.splitlines()
    assert lines[:4] == [
        "1 e a 2",
        "2/4, 80 crotchet beats a minute, right hand leading.",
        "",
        "Beat 1: 1 e a",
    ]
    assert "  also written: semiquaver, semiquaver, semiquaver rest, semiquaver" in lines
    assert not any("\t" in line or "|" in line for line in lines)


def test_a_silent_beat(drumlin) -> None:
    """A silent beat has no strokes and is written as a rest."""
    out = drumlin("explain", "1 (2)").out
    assert "Beat 2: (2)\n  strokes: none\n  written: crotchet rest\n  in US terms: quarter rest\n" in out


def test_a_triplet_is_named_as_one(drumlin) -> None:
    """The quavers of a triplet are told from plain ones."""
    assert "written: quaver, quaver, quaver, as a triplet" in drumlin("explain", "1 trip let").out


def test_count_without_quotes(drumlin) -> None:
    """The words of a count may stand without quotes around them."""
    assert drumlin("explain", "1", "e", "a", "2").out == drumlin("explain", "1 e a 2").out


def test_meter_settles_what_the_count_leaves_open(drumlin) -> None:
    """Bare numbers are crotchets unless the meter says otherwise."""
    assert json.loads(drumlin("explain", "1 2", "--json").out)["meter"] == "2/4"
    assert json.loads(drumlin("explain", "1 2", "--json", "--meter", "6/8").out)["meter"] == "6/8"


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["1 e a 2 zz"], "character 9, 'zz': not a word of the count"),
        (["1 e a 3"], "character 7, '3': beat 2 comes next"),
        ([""], "nothing is counted"),
        (["1 2", "--meter", "4/4"], "4/4 has 4 beats; found 2"),
        (["1", "--tempo", "19.9"], "tempo 19.9: choose from 20 to 400 beats a minute"),
        (["1", "--tempo", "nan"], "tempo nan: choose from 20 to 400 beats a minute"),
    ],
)
def test_refusals(drumlin, words: list[str], said: str) -> None:
    """What makes no bar is refused in one line that says what, where and what would do."""
    ending = drumlin("explain", *words)
    assert (ending.code, ending.out) == (1, "")
    assert ending.line.startswith(f"drumlin: {said}")


@given(st.text(max_size=40).filter(lambda text: not text.startswith("-")))
def test_any_text(text: str) -> None:
    """Any text at all gives an explanation or one line of refusal, never a traceback."""
    code, out, err = explained(text)
    assert (code, bool(out), len(err.splitlines())) in ((0, True, 0), (1, False, 1))
    assert "inside Drumlin" not in err


figures = st.sampled_from(vocabulary().figures)
meters = st.sampled_from(list(METERS.values()))
bars = meters.flatmap(
    lambda meter: st.lists(
        figures.filter(lambda figure: figure.compound == meter.compound), min_size=meter.beats, max_size=meter.beats
    ).map(lambda chosen: Bar(meter, tuple(chosen)))
)


@given(bars)
def test_any_bar(bar: Bar) -> None:
    """Of any bar of the vocabulary the onsets told are those that the count holds."""
    code, out, _ = explained(bar.count, "--json", "--meter", bar.meter.name)
    told = [tuple(map(Fraction, beat["onsets"])) for beat in json.loads(out)["beats"]]
    assert code == 0
    assert told == [figure.onsets for figure in parse_bar(bar.count, bar.meter).figures]
