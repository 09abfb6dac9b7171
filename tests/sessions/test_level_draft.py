"""Editing a level: its faults by place, and the level when there are none."""

import pytest

from game.sessions.levels.draft import PLACES, checked, draft_of, free_name
from game.sessions.levels.writing import level_text
from shared.levels import Level, shipped_levels, vocabulary
from tests.sessions.lessons import STAGE_3, figure

DRAFT = draft_of(STAGE_3)


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_an_unchanged_draft_is_the_level(level: Level) -> None:
    """Opening a level and saving it changes nothing."""
    made, faults = checked(draft_of(level))
    assert faults == {}
    assert made is not None
    assert level_text(made) == level_text(level)


WRONG = {
    "title": "",
    "about": "long " * 100,
    "meter": "5/4",
    "figures": "1, 1 banana",
    "new": "1 trip",
    "order": "1, 1",
    "tempo.low": "slow",
    "tempo.high": "2000",
    "exam.questions": "0",
    "exam.hearings": "1.5",
    "exam.playing": "-1",
    "exam.pass_mark": "70",
    "exam.merit_mark": "-1",
    "exam.distinction_mark": "two",
}


@pytest.mark.parametrize("place", WRONG)
def test_a_fault_stands_in_its_place(place: str) -> None:
    """Every text that can't be is a fault of its own place, and makes no level."""
    level, faults = checked(DRAFT.with_text(place, WRONG[place]))
    assert level is None
    assert place in faults


def test_no_orchestration_is_a_fault() -> None:
    """Leaving out every way round the kit, or every number of groove bars, is told there."""
    draft = DRAFT
    for name in STAGE_3.orchestrations:
        draft = draft.with_orchestration(name)
    for bars in STAGE_3.groove_bars:
        draft = draft.with_groove(bars)
    assert set(checked(draft)[1]) == {"orchestrations", "groove_bars"}


def test_all_faults_are_found_at_once() -> None:
    """Three wrong values are three faults, not one after the other."""
    draft = DRAFT.with_text("title", "").with_text("tempo.low", "x").with_text("exam.hearings", "99")
    assert set(checked(draft)[1]) == {"title", "tempo.low", "exam.hearings"}


def test_a_fault_of_a_pair_is_shown() -> None:
    """Low above high, and marks that fall, belong to no single value; they are shown at the first of them."""
    assert "tempo.low" in checked(DRAFT.with_text("tempo.low", "300"))[1]
    assert "exam.pass_mark" in checked(DRAFT.with_text("exam.pass_mark", "0.95"))[1]


def test_the_same_sound_twice_is_refused() -> None:
    """A figure written in two ways is one figure, as the level file says."""
    _, faults = checked(DRAFT.with_text("figures", "1, 1 &, 1 and"))
    assert "sound the same" in str(faults["figures"][0])


def test_figures_come_and_go() -> None:
    """A figure that is taken out is no new one any more; a new one becomes a figure."""
    gone = DRAFT.with_figure("figures", figure("1 e &"))
    assert figure("1 e &") not in (*gone.listed("figures"), *gone.listed("new"))
    come = DRAFT.with_figure("new", figure("1 e"))
    assert figure("1 e") in come.listed("figures")
    assert figure("1 e") in come.listed("new")
    assert checked(come)[1] == checked(gone)[1] == {}


def test_spellings_and_words_are_kept() -> None:
    """An own spelling and an own word reach the level; empty ones are as usual."""
    draft = DRAFT.with_entry("spelling", figure("1 &"), "s -s e").with_entry("words", figure("1 &"), "frog pond")
    level, faults = checked(draft)
    assert level is not None, faults
    assert level.spelling == {figure("1 &"): "s -s e"}
    assert level.words[figure("1 &")] == "frog pond"
    back, _ = checked(draft.with_entry("spelling", figure("1 &"), "").with_entry("words", figure("1 &"), ""))
    assert back is not None
    assert back.spelling == {}
    assert back.words[figure("1 &")] == vocabulary().words[figure("1 &")]


def test_words_go_with_their_figure() -> None:
    """The word of a figure that was taken out is no fault."""
    draft = DRAFT.with_entry("words", figure("1 &"), "frog pond").with_figure("figures", figure("1 &"))
    assert checked(draft)[1] == {}


def test_every_place_has_a_value() -> None:
    """The editor shows every key of a level but its format and its file's name."""
    shown = {place.partition(".")[0] for place in PLACES}
    assert shown == set(Level.__dataclass_fields__) - {"name"}


@pytest.mark.parametrize(
    ("wanted", "name"),
    [("Rain & reeds", "rain-reeds"), ("../../etc", "etc"), ("", "level"), ("stage-3", "stage-3-2"), ("Été", "été")],
)
def test_names_of_files_are_free_and_plain(wanted: str, name: str) -> None:
    """A title becomes a file's name that is not taken and leaves no folder."""
    assert free_name(wanted, ("stage-3", "stage-4")) == name


def test_a_count_that_cannot_be_read_is_passed_over() -> None:
    """While a count is half typed the editor still lists the figures beside it."""
    assert DRAFT.with_text("figures", "1, 1 e zz, 1 &").listed("figures") == (figure("1"), figure("1 &"))
