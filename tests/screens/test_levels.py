"""The levels in the window: chosen, copied, edited, taken in."""

from dataclasses import replace
from pathlib import Path

import pygame
import pytest
from pygame import Rect

from game.screens.home.home import Home
from game.screens.levels.editor import LevelEditor
from game.screens.levels.levels import Levels, about_level
from game.screens.notices.dialog import Dialog
from game.sessions.levels.draft import PLACES
from game.widgets.stave import stave_in
from shared.levels import find_level, load_level, own_names, shipped_names, spelled
from tests.screens.window import Window

FAULTY = 'format = 1\ntitle = ""\nmeter = "5/4"\nfigurs = ["1"]\n'


@pytest.fixture
def levels(window: Window) -> Window:
    """A window with the levels, stage 3 chosen, over home."""
    window.show(Levels(window.context), Home(window.context))
    return window


@pytest.fixture
def editor(levels: Window) -> Window:
    """The editor of a copy of stage 3."""
    levels.press("c", "return")
    levels.press("e")
    assert isinstance(levels.top, LevelEditor)
    return levels


def drop(window: Window, path: Path) -> None:
    pygame.event.post(pygame.Event(pygame.DROPFILE, file=str(path)))
    window.frames(2)


def own(window: Window) -> tuple[str, ...]:
    return own_names(window.context.own_levels)


def go_to(window: Window, place: str) -> None:
    window.top.set_focus("places")
    window.press("home", *["down"] * PLACES.index(place))


def test_choosing_a_level_plays_on_it(levels: Window) -> None:
    """Enter on a level makes it the player's, and it is kept."""
    levels.press("down", "return")
    assert levels.context.level.name == "stage-4"
    assert levels.context.records.settings(levels.context.player).level == "stage-4"
    assert isinstance(levels.top, Home)


def test_the_facts_of_an_exam_name_what_is_played() -> None:
    """Bars to be played are told where the level asks for some, and only there."""
    level = find_level("stage-4")
    told = dict(about_level(replace(level, exam=replace(level.exam, questions=1, playing=2))))
    assert told["Exam"] == "1 bar, 2 hearings, 2 to play"
    assert dict(about_level(level))["Exam"] == "10 bars, 2 hearings"


def test_every_level_is_looked_through(levels: Window) -> None:
    """Each shipped level tells its tempo, its ways round the kit and its exam's rules."""
    levels.press("home")
    for name in shipped_names():
        level = find_level(name)
        told = levels.texts()
        assert level.title in told
        assert f"{level.tempo.low:g} to {level.tempo.high:g} a minute" in told
        assert f"{level.exam.questions} bars, {level.exam.hearings} hearings" in told
        assert all(way.replace("-", " ") in told for way in level.orchestrations)
        levels.press("down")


def test_shipped_levels_stay_as_they_are(levels: Window) -> None:
    """A shipped level can't be edited, renamed or removed."""
    levels.press("e", "r", "delete")
    assert isinstance(levels.top, Levels)
    assert own(levels) == ()


def test_a_copy_is_the_same_level(levels: Window) -> None:
    """The copy has another name and title, and all else of the level."""
    levels.press("c", "return")
    (name,) = own(levels)
    copy, level = find_level(name, levels.context.own_levels), find_level("stage-3")
    assert copy.figures == level.figures
    assert (copy.tempo, copy.exam, copy.orchestrations) == (level.tempo, level.exam, level.orchestrations)
    assert copy.title == "Two short, one long (own)"


def test_an_own_level_leads_to_its_file(levels: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where it can be taken from to another machine; a shipped level has no such file."""
    opened: list[str] = []
    monkeypatch.setattr("game.screens.saving.subprocess.Popen", lambda words, **_: opened.append(words[-1]))
    levels.press("o")
    assert opened == []
    levels.press("c", "return", "o")
    assert [sorted(Path(folder).glob("*.toml")) != [] for folder in opened] == [True]


def test_renaming_changes_the_title_alone(levels: Window) -> None:
    """The file keeps its name, so that answers stay with the level."""
    levels.press("c", "return")
    before = own(levels)
    levels.press("r")
    levels.press(*["backspace"] * 60)
    levels.write("Reeds")
    levels.press("return")
    assert own(levels) == before
    assert find_level(before[0], levels.context.own_levels).title == "Reeds"


def test_removing_asks_first(levels: Window) -> None:
    """Staying keeps the file; going removes it, and who plays on it is on the first level."""
    levels.press("c", "return")
    levels.context.choose_level(find_level(own(levels)[0], levels.context.own_levels))
    levels.press("delete")
    assert isinstance(levels.top, Dialog)
    levels.press("return")
    assert len(own(levels)) == 1
    levels.press("delete", "right", "return")
    assert own(levels) == ()
    assert levels.context.level.name == "stage-1"


def test_a_dropped_file_is_taken_in(levels: Window, tmp_path: Path) -> None:
    """The file is copied as it was written, under a name that no level has."""
    text = (Path(__file__).parents[2] / "levels" / "stage-2.toml").read_text(encoding="utf-8")
    (tmp_path / "stage-2.toml").write_text("# from a friend\n" + text, encoding="utf-8")
    drop(levels, tmp_path / "stage-2.toml")
    assert own(levels) == ("stage-2-2",)
    kept = (levels.context.own_levels / "stage-2-2.toml").read_text(encoding="utf-8")
    assert kept.startswith("# from a friend")
    assert "stage-2.toml is now among your own levels" in levels.texts()


@pytest.mark.parametrize("text", [FAULTY, "not TOML at all", ""])
def test_a_faulty_file_changes_nothing(levels: Window, tmp_path: Path, text: str) -> None:
    """Every fault is listed on the page; no file is written; Escape leads back."""
    (tmp_path / "odd.toml").write_text(text, encoding="utf-8")
    drop(levels, tmp_path / "odd.toml")
    assert own(levels) == ()
    assert "nothing was changed" in levels.texts()
    if text == FAULTY:
        assert all(words in levels.texts() for words in ("figurs: unknown key", 'meter: found "5/4"', "title: found"))
    levels.press("escape")
    assert "Two short, one long" in levels.texts()


def test_a_file_dropped_on_home_is_taken_in(window: Window, tmp_path: Path) -> None:
    """From the first page a level file leads to the levels, which have it."""
    text = (Path(__file__).parents[2] / "levels" / "stage-2.toml").read_text(encoding="utf-8")
    (tmp_path / "reeds.toml").write_text(text, encoding="utf-8")
    window.show(Home(window.context))
    drop(window, tmp_path / "reeds.toml")
    assert isinstance(window.top, Levels)
    assert own(window) == ("reeds",)


def test_nothing_is_saved_while_faulty(editor: Window) -> None:
    """Save says so, the fault is shown in its place, and the file is as it was, to the byte."""
    path = editor.context.own_levels / f"{own(editor)[0]}.toml"
    before = path.read_bytes()
    go_to(editor, "tempo.low")
    editor.press("return")
    editor.write("x")
    editor.press("s", mod=pygame.KMOD_CTRL)
    assert path.read_bytes() == before
    assert "Nothing was saved" in editor.texts()
    assert 'tempo.low: found "60x"' in editor.texts()


def test_every_place_can_be_edited_and_saved(editor: Window) -> None:
    """Title, tempo, figures, ways, words and spelling, all by keys, come back from the file."""
    go_to(editor, "title")
    editor.press("return", *["backspace"] * 60)
    editor.write("Reeds")
    go_to(editor, "tempo.high")
    editor.press("return", *["backspace"] * 3)
    editor.write("120")
    go_to(editor, "figures")
    editor.press("return", "end")
    editor.write(", 1 e")
    go_to(editor, "orchestrations")
    editor.press("return", "end", "return")
    go_to(editor, "words")
    editor.press("return", "return")
    editor.write("pebble")
    go_to(editor, "spelling")
    editor.press("return", "return", "right", "return")
    editor.press("s", mod=pygame.KMOD_CTRL)
    assert "Saved." in editor.texts()
    level = load_level(editor.context.own_levels / f"{own(editor)[0]}.toml")
    assert (level.title, level.tempo.high) == ("Reeds", 120)
    assert [figure.count for figure in level.figures][-1] == "1 e"
    assert level.orchestrations[-1] == "fill-2"
    assert level.words[level.figures[0]] == "pebble"
    assert level.figures[0] in level.spelling


def test_ticking_a_figure_takes_it_in(editor: Window) -> None:
    """Enter on a figure of the grid takes it in, and again leaves it out."""
    go_to(editor, "figures")
    editor.top.set_focus("figures")
    editor.press("end", "return")
    assert len(editor.top.draft.listed("figures")) == 7
    editor.press("return")
    assert len(editor.top.draft.listed("figures")) == 6


def test_leaving_asks_while_unsaved(editor: Window) -> None:
    """A change is not lost by one key."""
    go_to(editor, "title")
    editor.press("return")
    editor.write("!")
    editor.press("escape")
    assert isinstance(editor.top, Dialog)


def test_the_player_follows_an_edited_level(editor: Window) -> None:
    """Who plays on the level plays it as it is saved."""
    editor.context.choose_level(find_level(own(editor)[0], editor.context.own_levels))
    go_to(editor, "tempo.high")
    editor.press("return", *["backspace"] * 3)
    editor.write("99")
    editor.press("s", mod=pygame.KMOD_CTRL)
    assert editor.context.level.tempo.high == 99


def test_levels_that_differ_in_spelling_alone_are_drawn_each_its_own_way(levels: Window) -> None:
    """Tiles and staves of a level never come from another that has all but its spelling."""
    assert levels.app is not None
    plain = find_level("stage-1")
    figure = next(figure for figure in plain.figures if figure.count == "1")
    other = replace(plain, spelling={figure: "s -s -e"})
    assert [spelled(level)[figure].code for level in (plain, other)] == ["q", "s -s -e"]
    staves = [stave_in(levels.app.look, level, Rect(0, 0, 500, 200)) for level in (plain, other)]
    assert [spelled(stave.level)[figure].code for stave in staves] == ["q", "s -s -e"]
    assert staves[0].line != staves[1].line


def test_saving_stays_in_sight_while_a_title_is_written(editor: Window) -> None:
    """Ctrl+S saves from within a field: the foot shows it there as elsewhere."""
    editor.press("tab")
    assert editor.top.takes_text
    assert "Ctrl S" in editor.texts().split("\n")


def test_a_refused_save_leaves_the_focus_where_it_is_wrong(editor: Window) -> None:
    """In the faulty field itself the caret stays; from elsewhere the focus goes to the faulty field."""
    go_to(editor, "tempo.low")
    editor.press("return")
    editor.write("x")
    editor.press("s", mod=pygame.KMOD_CTRL)
    assert (editor.top.focus, editor.widget("control").edited.text) == ("control", "60x")
    assert editor.widget("control").faulty
    go_to(editor, "title")
    editor.top.set_focus("save")
    editor.press("return")
    assert (editor.top.focus, editor.widget("control").edited.text) == ("control", "60x")


def test_a_teachers_comments_stay(levels: Window, tmp_path: Path) -> None:
    """Renaming a level, copying it and editing it leave the comments and the layout of its file."""
    file = tmp_path / "mine.toml"
    written = COMMENTED.encode()
    file.write_bytes(written)
    drop(levels, file)
    path = levels.context.own_levels / "mine.toml"
    levels.press("r", *["backspace"] * 60)
    levels.write("Rushes")
    levels.press("return")
    assert path.read_bytes() == written.replace(b'"Reeds"', b'"Rushes"')
    levels.press("c", "return")
    assert "# for the Tuesday group" in (levels.context.own_levels / "rushes-own.toml").read_text()
    levels.press("e")
    go_to(levels, "exam.questions")
    levels.press("return", *["backspace"] * 9)
    levels.write("7")
    levels.press("s", mod=pygame.KMOD_CTRL)
    text = (levels.context.own_levels / "rushes-own.toml").read_text()
    assert "questions=7 # short\n" in text
    assert '"1 and" # theirs' in text


COMMENTED = """# for the Tuesday group
title = "Reeds"
format = 1
meter = "4/4"
figures = ["1",
  "1 and" # theirs
]
[exam]
questions=5 # short
"""
