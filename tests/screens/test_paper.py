"""The page for paper: a sheet is chosen, looked at and saved."""

import subprocess
from dataclasses import replace
from pathlib import Path
from typing import Any
from uuid import UUID

import pytest

from game.learning import Answer
from game.screens.home.home import Home
from game.screens.paper.paper import PaperPage, open_paper
from shared.levels import shipped_levels
from tests.screens.window import Window


@pytest.fixture
def paper(window: Window) -> Window:
    """The page over home, with a class that mixes up two figures of stage 3."""
    room = window.context.records.add_player("Blue Room", 0.0, "class")
    window.context.records.choose_player(window.context.player)
    one, other = window.context.level.figures[:2]
    rows = [
        Answer(1e9 + k, "stage-3", "4/4", "1 2 3 4", 0, one.count, other.count, None, "snare", 60.0, kind="class")
        for k in range(3)
    ]
    for k, row in enumerate(rows):
        window.context.records.append(room, f"00000000-0000-4000-8000-00000000000{k}", [row])
    window.show(Home(window.context))
    window.press("w")
    assert isinstance(window.top, PaperPage)
    return window


def test_saves_everything_into_a_folder_of_its_own(paper: Window) -> None:
    """Pages, the whole sound and a track for each bar; what is told first is told before it is done."""
    paper.change("bars", 2)
    paper.press("s")
    assert "Writing" in paper.texts()
    paper.frames(3)
    assert "Saved 4 files in" in paper.texts()
    (folder,) = (paper.context.data_folder / "reports").iterdir()
    assert sorted(path.suffix for path in folder.iterdir()) == [".pdf", ".wav", ".wav", ".wav"]


def test_failure_is_one_line(paper: Window) -> None:
    """Where nothing can be written, the page says so, and nothing is left behind."""
    (paper.context.data_folder / "reports").write_text("leaves")
    paper.press("s")
    paper.frames(3)
    assert "can't be used as a folder" in paper.texts()


def test_other_bars_are_other_bars(paper: Window) -> None:
    """N deals anew; the seed is on the sheet."""
    before = paper.top.sheet
    paper.press("n")
    assert paper.top.sheet.questions() != before.questions()
    assert paper.top.sheet.seed == before.seed + 1


def test_preview_turns_its_pages(paper: Window) -> None:
    """V shows one page after the other and begins again; another choice begins with the first."""
    pages = paper.top.picture[2]
    for page in (*range(1, pages), 0):
        paper.press("v")
        assert f"Page {page + 1} of {pages}" in paper.texts()
    paper.press("v", "n")
    paper.frames()
    assert f"Page 1 of {pages}" in paper.texts()


def test_the_number_of_pages_is_that_of_what_is_shown(paper: Window) -> None:
    """From the first sight on, and at once where a worksheet becomes a chart of one page."""
    paper.frames(2)
    assert f"Page 1 of {paper.top.picture[2]}" in paper.texts()
    assert paper.top.picture[2] > 1
    paper.press("c")
    paper.frames(2)
    assert "Page 1 of 1" in paper.texts()


def test_mix_ups_of_a_class(paper: Window) -> None:
    """Of the class taught last they are named and asked first without a choice, go with the level, and for any class
    there are none."""
    one, other = paper.context.level.figures[:2]
    assert f"First: {one} and {other}" in paper.texts()
    assert set(paper.top.sheet.questions()[0].asked_figures) == {one, other}
    paper.top.set_focus("levels")
    paper.press("end")
    assert paper.top.sheet.pairs == ()
    assert "No mix-ups on this level yet" in paper.texts()
    paper.top.set_focus("room")
    paper.press("left")
    assert "For which class" in paper.texts()


def test_a_sheet_is_in_the_words_of_the_class_taught_last_and_has_cards_for_its_pupils(paper: Window) -> None:
    """With nothing chosen; a class that was added since, and has no pupils yet, is one step away."""
    records = paper.context.records
    room = records.find_player("Blue Room")
    records.save_settings(room, replace(records.settings(room), counting="e und e"))
    for name in ("Bryony", "Rill", "Sorrel"):
        pupil = records.add_player(name, 0.0, recent=False)
        records.save_settings(pupil, replace(records.settings(pupil), group=room.uuid))
    records.add_player("New Room", 0.0, "class")
    paper.show(open_paper(paper.context))
    assert (paper.top.sheet.level.count, paper.top.sheet.pupils) == ("e und e", 3)
    assert "cards for 3" in paper.texts()
    paper.change("pupils", 5)
    paper.change("room", "New Room")
    assert (paper.top.sheet.level.count, paper.top.sheet.pupils) == ("", 5)
    paper.change("levels", 0)
    paper.change("room", "Blue Room")
    assert (paper.top.sheet.level.count, paper.top.sheet.pupils) == ("e und e", 3)


def test_folder_is_opened_or_named(paper: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """O opens the folder with the system's program; without one the page says where it is."""
    opened: list[list[str]] = []

    def started(command: list[str], **_how: Any) -> None:
        opened.append(command)

    monkeypatch.setattr(subprocess, "Popen", started)
    paper.press("o")
    assert [Path(command[1]).name for command in opened] == ["reports"]

    def missing(*_args: object, **_how: Any) -> None:
        raise FileNotFoundError

    monkeypatch.setattr(subprocess, "Popen", missing)
    paper.press("o")
    assert "No program was found here that opens folders. It is" in paper.texts()


def test_own_levels_are_offered(window: Window) -> None:
    """A teacher's own level can be put on paper."""
    text = 'format = 1\ntitle = "Millrace"\nmeter = "4/4"\nfigures = ["1", "1 &"]\n'
    folder = window.context.own_levels
    folder.mkdir(parents=True)
    (folder / "millrace.toml").write_text(text, encoding="utf-8")
    window.show(open_paper(window.context))
    assert "Millrace" in [row.text for row in window.widget("levels").rows]


def test_opens_on_the_level_that_was_taught_last(window: Window) -> None:
    """Not the player's, and not of a class that was added since; where that level is gone, the level at hand."""
    records, taught = window.context.records, shipped_levels()[4]
    assert taught.name != window.context.level.name
    for name, at, level in (("Blue Room", 2e9, taught.name), ("Hill Room", 1e9, "stage-1")):
        room = records.add_player(name, 0.0, "class")
        heard = taught.figures[0].count
        records.append(room, str(UUID(int=int(at))), [
            Answer(at, level, "4/4", "1 2 3 4", 0, heard, heard, None, "snare", 60.0, kind="class")
        ])  # fmt: skip
    records.add_player("New Room", 0.0, "class")
    window.show(open_paper(window.context))
    assert window.top.sheet.level.name == taught.name
    gone = Answer(3e9, "thrown-away", "4/4", "1 2 3 4", 0, heard, heard, None, "snare", 60.0, kind="class")
    records.append(room, str(UUID(int=3)), [gone])
    window.show(open_paper(window.context))
    assert window.top.sheet.level.name == window.context.level.name


def test_saves_the_bars_as_a_chart(paper: Window) -> None:
    """C shows the chart, S writes its pages and score into a folder of their own and says where; C shows the sheet."""
    paper.change("bars", 2)
    paper.press("c")
    assert paper.top.picture[2] == 1
    assert "versions" not in paper.names()
    paper.press("s")
    assert "Saved 2 files in" in paper.texts()
    (folder,) = (paper.context.data_folder / "reports").iterdir()
    assert folder.name.startswith("chart-")
    assert sorted(path.suffix for path in folder.iterdir()) == [".musicxml", ".pdf"]
    paper.press("c")
    assert paper.top.picture[2] == 3
