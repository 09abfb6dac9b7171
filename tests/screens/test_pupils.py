"""Pupils and classes in the window: found, grouped, printed, removed and brought in."""

import os
from dataclasses import replace
from pathlib import Path

import pygame
import pytest

from game.learning.question import question_id
from game.records import Player, Records, Wanted
from game.screens.home.home import Home
from game.screens.notices.dialog import Dialog
from game.screens.notices.name_prompt import NamePrompt
from game.screens.pupils.bring_in import BringIn, history_files
from game.screens.pupils.pupils import next_words, open_pupils
from game.sessions.progress.standing import HORIZONS, Standing
from game.wording import local_day
from shared.levels import find_level
from tests.screens.window import NOW, Opened, Window


@pytest.fixture
def pupils(lived: Opened) -> Window:
    """The page with the invented drum room; Ash plays."""
    window = lived()
    window.show(open_pupils(window.context))
    return window


def named(window: Window, name: str) -> Player:
    return window.context.records.find_player(name)


def choose(window: Window, name: str) -> None:
    """Choose somebody, and wait until the page tells what it knows of them."""
    lines = window.top.lines
    row = next(k for k, line in enumerate(lines) if line.person and line.person.player.name == name)
    window.change("people", row)
    window.until(lambda: window.top.about and window.top.about.player == lines[row].person.player)
    window.frames()


def rows(window: Window) -> list[str]:
    return [row.text for row in window.widget("people").rows]


def test_a_pupil_is_found_by_typing(pupils: Window) -> None:
    """F, then a part of a name: the others go, and come back when it is taken away."""
    everybody = rows(pupils)
    pupils.press("f")
    pupils.write("wre")
    assert rows(pupils) == ["Wren (demo)"]
    pupils.press("backspace", "backspace", "backspace")
    assert rows(pupils) == everybody


def test_pupils_are_set_in_under_their_class(pupils: Window) -> None:
    """On the page each name of a class begins further right than the class, and than who has none."""
    choose(pupils, "Millrace Drum Room (demo)")
    pupils.press("n")
    pupils.write("Bryony")
    pupils.press("return")
    people = pupils.widget("people")
    lefts = [people.lettering(pupils.app.look)[2 * k].box.x for k in range(2)]
    assert rows(pupils)[:2] == ["Millrace Drum Room (demo)", "Bryony"]
    assert lefts[1] > lefts[0]


@pytest.mark.parametrize("name", ["Millrace Drum Room (demo)", "Wren (demo)", "Ash (demo)"])
def test_a_class_and_a_pupil_are_renamed(pupils: Window, name: str) -> None:
    """R asks for another name; what is kept stays with them, whoever they are, and whoever plays plays on."""
    records = pupils.context.records
    before = records.find_player(name)
    answers = records.count_answers(before)
    choose(pupils, name)
    pupils.press("r")
    # The old name is selected whole: what is written takes its place.
    pupils.write("Brackenmere")
    pupils.press("return")
    pupils.until(lambda: pupils.top.about)
    after = records.find_player("Brackenmere")
    assert (after.uuid, after.kind, records.count_answers(after)) == (before.uuid, before.kind, answers)
    assert pupils.widget("name").text == "Brackenmere"
    assert records.player_named(name) is None
    assert pupils.context.player == records.find_player("Brackenmere" if name.startswith("Ash") else "Ash (demo)")


@pytest.mark.parametrize(
    ("name", "fault"), [("", "at least one"), ("wren (DEMO)", "already a player"), ("x" * 41, "41")]
)
def test_a_name_that_cannot_be_is_refused(pupils: Window, name: str, fault: str) -> None:
    """A class keeps its name where the new one is empty, taken or too long, and the line says why."""
    choose(pupils, "Millrace Drum Room (demo)")
    pupils.press("r", "delete")
    pupils.write(name)
    pupils.press("return")
    assert isinstance(pupils.top, NamePrompt)
    assert fault in pupils.texts()
    pupils.press("escape")
    assert pupils.context.records.find_player("Millrace Drum Room (demo)").kind == "class"


def test_who_when_what_holds_and_what_is_next(pupils: Window) -> None:
    """Beside the list stand the last day, how many figures are firm on which level, and the next thing to do."""
    choose(pupils, "Wren (demo)")
    assert "Last: " in pupils.texts()
    assert "firm." in pupils.texts()
    assert "Next: " in pupils.texts()


def test_before_the_first_answer_the_page_says_what_it_will_show(window: Window) -> None:
    """Of a pupil, and of a class, which has a lesson before it."""
    window.context.records.add_player("Hill Room", 0.0, "class", recent=False)
    window.show(open_pupils(window.context))
    window.frames(30)
    assert "After a first round each figure" in window.texts()
    assert "Next: a first round of" in window.texts()
    window.press("home")
    window.frames(30)
    assert "After a first lesson each figure" in window.texts()
    assert "Next: a first lesson on" in window.texts()


def test_the_page_tells_what_is_mixed_up(pupils: Window) -> None:
    """Of a class too, whose lesson may have been broken off before it was summed up: what was taken for what."""
    room = named(pupils, "Millrace Drum Room (demo)")
    (sample, *_) = pupils.context.records.answers(named(pupils, "Wren (demo)"))
    level = pupils.context.records.settings(room).level
    wrong = replace(sample, heard="1 &", said="1", at=pupils.clock.now, level=level, kind="class", ability="hearing")
    for lesson in ("first", "second", "third"):
        pupils.context.records.append(room, question_id(lesson), [wrong])
    pupils.top.entered()
    pupils.change("people", 0)
    pupils.frames()
    assert "Reading the answers" in pupils.texts()
    pupils.until(lambda: pupils.top.about)
    pupils.frames(2)
    assert "Reading the answers" not in pupils.texts()
    assert "1 & for 1" in pupils.widget("mixed").text
    choose(pupils, "Ash (demo)")
    pupils.press("n")
    pupils.write("Rill")
    pupils.press("return")
    pupils.until(lambda: pupils.top.about)
    assert not pupils.top.about.mixed


def test_a_pupil_is_put_into_a_class(pupils: Window) -> None:
    """C, a class, Enter: the pupil stands under it, now and when the page is opened again."""
    room = pupils.context.records.players("class")[0]
    choose(pupils, "Wren (demo)")
    pupils.press("c", "down", "return")
    assert pupils.context.records.settings(named(pupils, "Wren (demo)")).group == room.uuid
    names = rows(pupils)
    assert names.index("Wren (demo)") == names.index(room.name) + 1
    pupils.show(open_pupils(pupils.context))
    assert rows(pupils) == names


def test_a_class_is_filled_name_by_name(pupils: Window) -> None:
    """N, a name and Enter for each: in the class that is looked at and on its level, and who plays stays the same."""
    records, plays = pupils.context.records, pupils.context.player
    choose(pupils, "Millrace Drum Room (demo)")
    room = named(pupils, "Millrace Drum Room (demo)")
    for name in ("Bryony", "Rill"):
        pupils.press("n")
        pupils.write(name)
        pupils.press("return")
        kept = records.settings(named(pupils, name))
        assert (kept.group, kept.level) == (room.uuid, records.settings(room).level)
        assert f"{name} is added" in pupils.texts()
    assert records.most_recent_player("player") == plays == pupils.context.player
    pupils.press("n")
    pupils.write("Rill")
    pupils.press("return")
    assert isinstance(pupils.top, NamePrompt)
    assert len([row for row in records.players() if row.name == "Rill"]) == 1


def test_a_whole_class_is_one_file(pupils: Window) -> None:
    """P on a class saves one page a pupil in one PDF; on a pupil the one page."""
    for name in ("Wren (demo)", "Ash (demo)"):
        choose(pupils, name)
        pupils.press("c", "down", "return")
    room = pupils.context.records.players("class")[0]
    choose(pupils, room.name)
    pupils.press("p")
    assert "2 pages. Saved as" in pupils.texts()
    (path,) = (pupils.context.data_folder / "reports").glob("class-*.pdf")
    assert path.read_bytes().count(b"/Type /Page\n") == 2
    choose(pupils, "Wren (demo)")
    pupils.press("p")
    assert "1 page. Saved as" in pupils.texts()


def test_removing_keeps_a_backup_first(pupils: Window) -> None:
    """Delete asks; what was removed is gone from the records and whole in the backup."""
    wren = named(pupils, "Wren (demo)")
    answers = pupils.context.records.count_answers(wren)
    assert answers > 100
    choose(pupils, wren.name)
    pupils.press("delete")
    assert isinstance(pupils.top, Dialog)
    pupils.press("escape")
    assert pupils.context.records.player_with_uuid(wren.uuid)
    pupils.press("delete", "tab", "return")
    assert pupils.context.records.player_with_uuid(wren.uuid) is None
    assert "Wren (demo) is removed." in pupils.texts()
    (backup,) = (pupils.context.data_folder / "backups").glob("records-with-wren-demo-*.sqlite")
    pupils.context.records.restore(backup, pupils.clock.now)
    assert pupils.context.records.count_answers(named(pupils, "Wren (demo)")) == answers


def test_a_removed_pupil_is_brought_back_in_the_window(pupils: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Their history lies with the backups, where Bring in finds it, and what others did since stays."""
    wren = named(pupils, "Wren (demo)")
    answers, level = pupils.context.records.count_answers(wren), pupils.context.records.settings(wren).level
    monkeypatch.setattr(Path, "home", lambda: pupils.context.data_folder / "nobody")
    choose(pupils, wren.name)
    pupils.press("delete", "tab", "return")
    assert "I brings them back" in pupils.texts()
    pupils.press("i", "return")
    assert pupils.top.person.player.name == wren.name
    assert pupils.context.records.count_answers(named(pupils, wren.name)) == answers
    assert pupils.context.records.settings(named(pupils, wren.name)).level == level


def test_a_history_is_saved_for_another_machine(pupils: Window) -> None:
    """H writes what Bring in takes."""
    choose(pupils, "Wren (demo)")
    pupils.press("h")
    assert "Saved as " in pupils.texts()
    (path,) = (pupils.context.data_folder / "reports").glob("history-wren-demo-*.jsonl")
    with Records.in_memory() as others:
        wren = named(pupils, "Wren (demo)")
        assert others.import_history(path, 0.0).answers == pupils.context.records.count_answers(wren)


def test_a_task_is_set_and_stands_first_for_the_pupil_until_it_is_done(pupils: Window) -> None:
    """T sets what the coach proposes, pair by pair, then the level, then none; the pupil's first page begins with it,
    says who set it and until when, and goes back to the coach's own aim once twenty answers were right."""
    records, clock = pupils.context.records, pupils.clock
    wren = named(pupils, "Wren (demo)")
    choose(pupils, wren.name)
    first = pupils.top.about.mixed[0]
    pairs = len({frozenset((one.heard, one.said)) for one in pupils.top.about.mixed})
    pupils.press("t")
    task = pupils.context.task(wren)
    assert set(task.figures) == {first.heard.count, first.said.count}
    assert "0 of 20 right so far." in pupils.widget("told").text
    pupils.press(*["t"] * pairs)
    assert pupils.context.task(wren).figures == ()
    assert "0 of 40 right so far. T again: another one." in pupils.widget("told").text
    pupils.press("t")
    assert pupils.context.task(wren) is None
    assert pupils.widget("told").text.startswith("No task.")
    pupils.press("t")
    pupils.context.choose_player(wren)
    pupils.show(Home(pupils.context))
    pupils.until(lambda: "Your task" in pupils.texts())
    assert "Set by Ash (demo) until Sunday, 22 June 2025: 0 of 20 right." in pupils.texts()
    pupils.press("p")
    assert {figure.count for figure in pupils.top.round.question.asked_figures} == set(task.figures)
    row = replace(records.answers(wren, Wanted(last=1))[0], level=task.level, ability="hearing", attempt=1)
    for number in range(20):
        clock.now += 60
        said = task.figures[number % 2]
        records.append(wren, question_id("task", number), [replace(row, heard=said, said=said, at=clock.now)])
    pupils.press("escape")
    pupils.show(Home(pupils.context))
    pupils.frames(60)
    assert "Your task" not in pupils.texts()
    pupils.show(open_pupils(pupils.context))
    choose(pupils, wren.name)
    assert pupils.widget("told").text.startswith("Task done: ")


def test_a_task_is_set_for_all_pupils_of_a_class(pupils: Window) -> None:
    """T on a class sets one for each pupil in it, and the page counts who did it; without pupils it says so."""
    room = pupils.context.records.players("class")[0]
    choose(pupils, room.name)
    pupils.press("t")
    assert "No pupil belongs to this class yet" in pupils.texts()
    for name in ("Bryony", "Rill"):
        pupils.press("home", "n")
        pupils.write(name)
        pupils.press("return")
    choose(pupils, room.name)
    pupils.press("t")
    tasks = {pupils.context.task(named(pupils, name)) for name in ("Bryony", "Rill")}
    assert len(tasks) == 1
    assert tasks == {pupils.context.task(room)}
    assert "done by 0 of 2." in pupils.widget("told").text


def test_what_a_class_mixes_up_is_looked_at_and_saved(pupils: Window) -> None:
    """G opens the map of a class and its lessons by day, T saves either as CSV; a pupil's too, and nothing is drilled
    that would be kept as theirs."""
    records = pupils.context.records
    room = records.add_player("Hill Room", 0.0, "class", recent=False)
    (sample, *_) = records.answers(named(pupils, "Wren (demo)"))
    level = records.settings(room).level
    asked = replace(sample, heard="1 &", at=pupils.clock.now, level=level, kind="class", ability="hearing", attempt=1)
    told = [replace(asked, said="1", share=0.75), replace(asked, said="1 &", share=0.25)]
    records.append(room, question_id("lesson"), [*told, replace(asked, beat=1, said=None, unsure=True)])
    pupils.top.entered()
    choose(pupils, room.name)
    plays = pupils.context.player
    pupils.press("g")
    assert room.name in pupils.texts()
    assert [key.name for key in pupils.top.keys()]  # noqa: SIM118 - a page's keys are no dict's == ["h", "t", "i", "escape"]
    assert "drill" not in pupils.names()
    pupils.press("t")
    pupils.change("view", "days")
    pupils.press("t")
    assert "hands" not in [value for value, _ in pupils.widget("view").options]
    saved = {path.name.split("-hill")[0]: path for path in (pupils.context.data_folder / "reports").glob("*.csv")}
    tables = {view: path.read_text(encoding="utf-8").splitlines() for view, path in saved.items()}
    assert tables["mix-ups"] == [
        "heard,said,times,share", "1 &,1,0.75,0.375", "1 &,1 &,0.25,0.125", "1 &,not known,1.0,0.5",
    ]  # fmt: skip
    day = local_day(pupils.clock.now).isoformat()
    assert tables["days"] == ["day,bars,beats,right", f"{day},1,2.0,0.25"]
    pupils.press("escape")
    choose(pupils, "Wren (demo)")
    pupils.press("g")
    assert "Wren (demo)" in pupils.texts()
    assert "hands" in [value for value, _ in pupils.widget("view").options]
    assert "d" not in [key.name for key in pupils.top.keys()]  # noqa: SIM118 - a page's keys are no dict's
    pupils.press("escape")
    assert (pupils.top.person.player.name, pupils.context.player) == ("Wren (demo)", plays)


def test_a_class_is_left_as_it_was(pupils: Window) -> None:
    """Esc in the list of classes undoes what the arrows did."""
    choose(pupils, "Wren (demo)")
    before = pupils.top.person.group
    pupils.press("c", "home", "escape")
    assert pupils.top.person.group == before
    assert pupils.top.person.player.name == "Wren (demo)"


def test_nothing_is_removed_without_a_backup(pupils: Window, monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the backup can't be made, the pupil stays."""
    wren = named(pupils, "Wren (demo)")

    def fail(*_args: object) -> None:
        raise OSError(28, os.strerror(28))

    monkeypatch.setattr("game.records.store.copy_to", fail)
    with pytest.raises(OSError, match="No space"):
        pupils.context.records.remove(wren, pupils.clock.now)
    assert pupils.context.records.player_with_uuid(wren.uuid)


def test_who_plays_is_not_removed(pupils: Window) -> None:
    """The player at this machine must be changed first."""
    choose(pupils, "Ash (demo)")
    pupils.press("delete")
    assert "can't be removed" in pupils.texts()


def test_a_history_is_brought_in_by_a_button(pupils: Window, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """I lists the history files among the downloads, the newest first; Enter brings one in, a path does too."""
    downloads = tmp_path / "Downloads"
    downloads.mkdir()
    with Records.in_memory() as others:
        linden = others.add_player("Linden", 0.0)
        others.export_history(downloads / "linden.jsonl", linden)
    monkeypatch.setattr(Path, "home", lambda: tmp_path)
    pupils.press("i")
    assert isinstance(pupils.top, BringIn)
    pupils.press("return")
    assert "Linden: 0 answers came in" in pupils.texts()
    assert "Linden" in rows(pupils)
    pupils.press("i")
    pupils.top.set_focus("path")
    pupils.frames()
    pupils.write("nowhere.jsonl")
    pupils.press("return")
    assert isinstance(pupils.top, BringIn)
    assert "nowhere.jsonl" in pupils.widget("refused").text
    pupils.press("a", mod=pygame.KMOD_CTRL)
    pupils.write("~nobody-of-that-name/x.jsonl")
    pupils.press("return")
    assert isinstance(pupils.top, BringIn)
    assert "home directory" in pupils.widget("refused").text


def test_newest_history_first(tmp_path: Path) -> None:
    """Files are listed by when they were written; a folder that is missing holds none."""
    for name, at in (("a.jsonl", 100), ("b.jsonl", 300), ("c.jsonl", 200), ("d.txt", 400)):
        (tmp_path / name).write_text("", encoding="utf-8")
        os.utime(tmp_path / name, (at, at))
    found = history_files([tmp_path / "nowhere", tmp_path])
    assert [path.name for path, _ in found] == ["b.jsonl", "c.jsonl", "a.jsonl"]


def test_a_closed_level_leads_on() -> None:
    """Of a pupil whose closing round was passed the page tells no other one."""
    level, sure = find_level("stage-1"), tuple((0.99,) * 3 for _ in HORIZONS)
    held = Standing("stage-1", NOW, NOW, tuple(figure.count for figure in level.figures), (9,) * 3, sure)
    assert next_words(level, held, NOW) == "the closing round, then the next level."
    assert next_words(level, held, NOW, closed=True) == "the next level."
