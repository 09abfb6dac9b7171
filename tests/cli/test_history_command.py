"""``drumlin history`` shows a record, takes it out, brings it in and backs it up."""

import json
from dataclasses import replace
from pathlib import Path

import pytest

from game.learning import Answer
from game.records import Exam, Records, Round
from game.sessions.progress.mixups import mix_ups
from game.sessions.progress.progress import confusion_table
from game.wording import day_words
from shared.levels import find_level

DAY = 86400.0
NOW = 1_750_000_000.0


@pytest.fixture
def room(tmp_path: Path) -> str:
    """A data folder with the records of Wren, who has answered two bars, and of Ash, who played last."""
    folder = tmp_path / "room"
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        records.append(wren, "00000000-0000-4000-8000-000000000001", answers(NOW, ("1 e a", "1 & a"), ("1 &", "1 &")))
        records.append(
            wren, "00000000-0000-4000-8000-000000000002", answers(NOW + DAY, ("1 e a", "1 & a"), ("1", None))
        )
        records.save_round(wren, Round("stage-3", NOW, NOW + 60, 4, 1, 2, 250))
        records.save_exam(wren, Exam("00000000-0000-4000-8000-000000000003", "stage-3", NOW, NOW, "finished", 0.75))
        records.add_player("Ash", NOW)
    return str(folder)


def answers(at: float, *pairs: tuple[str, str | None]) -> list[Answer]:
    """A bar of 2/4 whose beats were heard and said like this."""
    bar = f"{pairs[0][0]} {pairs[1][0].replace('1', '2')}"
    return [
        Answer(at, "stage-3", "2/4", bar, beat, heard, said, 2.0, "snare", 80.0)
        for beat, (heard, said) in enumerate(pairs)
    ]


def test_shows_a_record_in_words(drumlin, room: str) -> None:
    """A record in words: answers, days, share right, rounds, exams and mix-ups of each level."""
    out = drumlin("history", "show", "--player", "Wren", "--data-dir", room).out
    last = day_words(NOW + DAY)
    assert out.startswith(f"Wren: 4 answers on 2 days\n\nstage-3: 1 of 4 beats (25%) right, last on {last}\n")
    assert " June 2025" in last
    assert "  rounds: 1, best 250 points\n" in out
    assert ": finished, 75%\n" in out
    assert "  1 e a taken for 1 & a: 2\n" in out
    assert out.endswith("Other records: Ash (--player NAME)\n")


def test_shows_the_last_player_without_a_word(drumlin, room: str) -> None:
    """``history`` alone shows who played last."""
    assert drumlin("history", "--data-dir", room).out.startswith("Ash: 0 answers on 0 days")


def test_shows_a_record_as_json(drumlin, room: str) -> None:
    """The same record as JSON."""
    told = json.loads(drumlin("history", "--json", "--player", "wren", "--data-dir", room).out)
    (level,) = told["levels"]
    assert (told["player"], told["answers"], told["days"]) == ("Wren", 4, 2)
    assert (level["right"], level["heard"], level["best"]) == (1, 4, 250)
    assert level["mix_ups"] == [{"heard": "1 e a", "said": "1 & a", "times": 2}]


def test_counts_a_class_as_the_page_of_progress_does(drumlin, tmp_path: Path) -> None:
    """Parts of a room and several levels: the command's mix-ups are the page's, in numbers and in order."""
    folder = tmp_path / "room"
    asked = [
        ("stage-4", "1 e a", {"1 & a": 0.5, "1 e a": 0.5}),
        ("stage-4", "1 e a", {"1 & a": 0.36, "1": 0.07, "1 e a": 0.57}),
        ("stage-4", "1 & a", {"1 e a": 0.9, "1 & a": 0.1}),
        ("stage-8", "1 & a", {"1 e a": 0.43, None: 0.57}),
    ]
    with Records.open(folder, NOW) as records:
        room = records.add_player("Millrace", NOW, "class")
        for number, (level, heard, votes) in enumerate(asked):
            rows = [
                Answer(NOW + number, level, "4/4", f"{heard} 2 3 4", 0, heard, said, None, "snare", 80.0, kind="class",
                       share=share)
                for said, share in votes.items()
            ]  # fmt: skip
            records.append(room, f"00000000-0000-4000-8000-{number:012}", rows)
        record = records.answers(room)
    told = json.loads(drumlin("history", "--json", "--data-dir", str(folder)).out)["levels"][0]
    level = find_level("stage-4")
    table = confusion_table(level, record)
    places = {figure.count: place for place, figure in enumerate(level.figures)}
    page = {
        (one["heard"], one["said"]): table.counts[places[one["heard"]], places[one["said"]]] for one in told["mix_ups"]
    }
    assert (
        [one["times"] for one in told["mix_ups"]] == [round(times, 2) for times in page.values()] == [1.33, 0.86, 0.07]
    )
    assert list(page) == [(one.heard.count, one.said.count) for one in mix_ups(level.figures, record)]
    out = drumlin("history", "--data-dir", str(folder)).out
    assert "  1 & a taken for 1 e a: about 1\n  1 e a taken for 1 & a: about 1\n" in out


def test_a_level_that_has_gone_is_still_shown(drumlin, tmp_path: Path) -> None:
    """Its mix-ups are among the figures that were heard and said on it."""
    with Records.open(tmp_path, NOW) as records:
        row = Answer(NOW, "river-level", "4/4", "1 e a 2 3 4", 0, "1 e a", "1 & a", None, "snare", 80.0)
        records.append(records.add_player("Wren", NOW), "00000000-0000-4000-8000-000000000001", [row])
    out = drumlin("history", "--data-dir", str(tmp_path)).out
    assert out.startswith("Wren: 1 answer on 1 day\n\nriver-level: 0 of 1 beats (0%) right")
    assert "  1 e a taken for 1 & a: 1\n" in out


@pytest.mark.parametrize("words", [("show",), ("export", "wren.history"), ("backup", "all.sqlite"), ()])
def test_looking_makes_nothing(drumlin, tmp_path: Path, words: tuple[str, ...]) -> None:
    """Where there are no records yet, who only looks leaves no trace."""
    ending = drumlin("history", *words, "--data-dir", str(tmp_path / "room"))
    assert (ending.code, ending.line) == (1, "drumlin: there are no players yet; play a round first, with `drumlin` or "
                                          "`drumlin listen`")  # fmt: skip
    assert list(tmp_path.iterdir()) == []


def test_importing_twice_changes_nothing(drumlin, room: str, tmp_path: Path) -> None:
    """A history comes into another folder once; the second time everything is known already."""
    assert drumlin("history", "export", "wren.history", "--player", "Wren", "--data-dir", room).code == 0
    other = str(tmp_path / "other")
    first = drumlin("history", "import", "wren.history", "--data-dir", other)
    assert first.out == "Wren: 4 new answers, 0 known already, 1 new round\n"
    shown = drumlin("history", "show", "--json", "--data-dir", other).out
    second = drumlin("history", "import", "wren.history", "--data-dir", other)
    assert second.out == "Wren: 0 new answers, 4 known already, 0 new rounds\n"
    assert drumlin("history", "show", "--json", "--data-dir", other).out == shown


def test_exports_a_table(drumlin, room: str, tmp_path: Path) -> None:
    """A name that ends in .csv gets a table of the answers."""
    out = drumlin("history", "export", "wren.csv", "--player", "Wren", "--data-dir", room).out
    assert out == "wren.csv: 4 answers of Wren\n"
    lines = (tmp_path / "wren.csv").read_text(encoding="utf-8").splitlines()
    assert lines[0].startswith("time,at,level,meter,bar,beat,heard,said")
    assert len(lines) == 5


def test_a_backup_comes_back(drumlin, room: str, tmp_path: Path) -> None:
    """A backup can be restored; what was there is kept beside it and named."""
    assert drumlin("history", "backup", "all.sqlite", "--data-dir", room).out == "all.sqlite: a copy of all records\n"
    other = str(tmp_path / "other")
    drumlin("history", "import", "nothing.history", "--data-dir", other)
    with Records.open(Path(other), NOW) as records:
        records.add_player("Rowan", NOW)
    ending = drumlin("history", "restore", "all.sqlite", "--data-dir", other)
    assert ending.code == 0
    assert "what was there is kept as" in ending.out
    assert "records-before-restore-" in ending.out
    assert drumlin("history", "--player", "Wren", "--data-dir", other).out.startswith("Wren: 4 answers")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["show", "--player", "Wern"], "no player is called 'Wern'; did you mean 'Wren'?"),
        (["export", "nowhere/wren.history"], "nowhere/wren.history: there is no folder nowhere; make it first"),
        (["export", "."], ".: this names a folder; add a file name"),
        (
            ["export", "poem.history"],
            "poem.history: a file that is no history file is there already; choose another name",
        ),
        (
            ["backup", "poem.history"],
            "poem.history: a file that is no backup of records is there already; choose another name",
        ),
        (["restore", "poem.history"], "poem.history is no sound backup of records; choose another"),
        (["import", "none.history"], "none.history"),
        (["import", "poem.history"], "poem.history"),
    ],
)
def test_refusals(drumlin, room: str, tmp_path: Path, words: list[str], said: str) -> None:
    """What can't be done is one line, and a file that is not ours stays as it was."""
    (tmp_path / "poem.history").write_text("rain on the millrace\n", encoding="utf-8")
    ending = drumlin("history", *words, "--data-dir", room)
    assert (ending.code, ending.out) == (1, "")
    assert ending.line.startswith(f"drumlin: {said}")
    assert "inside Drumlin" not in ending.line
    assert (tmp_path / "poem.history").read_text(encoding="utf-8") == "rain on the millrace\n"


def test_nobody_yet(drumlin, tmp_path: Path) -> None:
    """Empty records say how to begin."""
    ending = drumlin("history", "--data-dir", str(tmp_path / "new"))
    assert ending.code == 1
    assert ending.line == "drumlin: there are no players yet; play a round first, with `drumlin` or `drumlin listen`"


def test_damaged_records_are_set_aside(drumlin, tmp_path: Path) -> None:
    """A damaged records file gets a new name, and the player is told where it is."""
    folder = tmp_path / "room"
    folder.mkdir()
    (folder / "records.sqlite").write_bytes(b"rain on the millrace" * 100)
    ending = drumlin("history", "--data-dir", str(folder))
    (aside,) = folder.glob("records-damaged-*.sqlite")
    assert ending.code == 1
    assert f"It was set aside as {aside}" in ending.err.splitlines()[0]
    assert aside.read_bytes() == b"rain on the millrace" * 100


def open_to_chance(number: int) -> list[Answer]:
    """Two beats of a bar, one wanted nine times in ten and its share of chance, of four figures, and one by chance."""
    first, second = answers(NOW + 10 * number, ("1 e a", ("1 & a", "1 e a")[number % 2]), ("1", "1"))
    return [replace(first, probability=0.925), replace(second, probability=(0.025, 0.925)[number % 2])]


def test_judges_the_coach_by_the_record(drumlin, room: str, tmp_path: Path) -> None:
    """Of few answers it is told how many are wanting, and no effect; an exported file is judged as its record."""
    none = drumlin("history", "judge", "--player", "Wren", "--data-dir", room)
    assert (none.code, none.out.count("wanting")) == (0, 1)
    with Records.open(Path(room), NOW) as records:
        wren = records.find_player("Wren")
        for number in range(61):
            records.append(wren, f"00000000-0000-4000-8000-0000000001{number:02}", open_to_chance(number))
            if number == 1:
                few = drumlin("history", "judge", "--player", "Wren", "--data-dir", room).out
    # Two that agree have no spread: an interval made of that would be sure of what nobody knows.
    assert "4 answers" in few
    assert "%" not in few
    out = drumlin("history", "judge", "--player", "Wren", "--data-dir", room).out
    assert "122 answers" in out
    assert "Too few to tell" in out
    assert "with 95% probability" in out
    exported = str(tmp_path / "wren.jsonl")
    drumlin("history", "export", exported, "--player", "Wren", "--data-dir", room)
    assert drumlin("history", "judge", exported, "--data-dir", str(tmp_path / "none")).out == out
    told = json.loads(drumlin("history", "judge", "--player", "Wren", "--data-dir", room, "--json").out)
    assert told["answers"] == 122
    assert told["low"] < told["effect"] < told["high"]
