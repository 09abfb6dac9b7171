"""Histories out and in."""

import csv
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.records import KeptFill, Player, Records, RecordsError, Riddle
from game.records.exchange import CSV_COLUMNS
from game.records.history_file import FAULTS_SHOWN, LONGEST_LINE, HistoryError
from game.records.history_file import read_history as stream
from game.records.log import Logged
from shared.fills import as_values
from tests.records.record_samples import NOW, TAKE, a_round, bar, empty_records, how_it_came_about, uuid
from tests.shared.fills import fill

FILL = fill("1 e a 2 & 3 4", "Ssshhmf")

ADDED = (
    "choices", "met", "attempt", "unsure", "changes", "alone", "slower", "reason", "probability", "ability",
    "tries", "rule", "forecast",
)  # fmt: skip
"""The fields that format 1 did not have."""


def read_history(path: Path) -> list[object]:
    """All that a history file holds."""
    return list(stream(path))


@pytest.fixture
def history(tmp_path: Path, records: Records, wren: Player) -> Path:
    """A history file of a pupil with two bars, a round and an exam."""
    records.append(wren, uuid(1), bar())
    records.append(wren, uuid(2), bar(at=NOW + 1))
    records.save_round(wren, a_round(), uuid(3))
    records.finish_exam(wren, records.start_exam(wren, "stage-3", {"questions": 20}, NOW), 0.8, ["1 e a"], NOW + 9)
    path = tmp_path / "wren.history"
    assert records.export_history(path, wren) == 8
    return path


def lines(path: Path) -> list[str]:
    """The lines as a file of JSON Lines has them: only a line feed ends one, not U+0085 within a text."""
    return path.read_text(encoding="utf-8").removesuffix("\n").split("\n")


def test_a_history_is_open_to_all(history: Path, wren: Player) -> None:
    """Each line is JSON; the first says what the file is and whose, the others are as documented."""
    header, *rest = [json.loads(line) for line in lines(history)]
    owner = {"uuid": wren.uuid, "name": "Wren", "kind": "player"}
    assert header == {"drumlin": "history", "format": 3, "player": owner}
    assert [next(iter(line)) for line in rest] == ["answer"] * 8 + ["round", "exam"]
    answer = {"question": uuid(1), "place": 1, **vars(bar()[1])}
    assert rest[1]["answer"] == {name: value for name, value in answer.items() if name not in ADDED}


def test_a_history_moves_to_another_machine(history: Path, records: Records, wren: Player) -> None:
    """Everything arrives as it was: the player, answers, rounds, exams."""
    with Records.in_memory() as other:
        imported = other.import_history(history, NOW)
        assert (imported.answers, imported.known, imported.rounds, imported.known_as) == (8, 0, 1, None)
        assert (imported.player.uuid, imported.player.name) == (wren.uuid, "Wren")
        assert other.answers(imported.player) == records.answers(wren)
        assert other.rounds(imported.player) == records.rounds(wren)
        assert other.exams(imported.player) == records.exams(wren)


@pytest.mark.parametrize("older", [1, 2])
def test_an_older_history_comes_in(history: Path, records: Records, wren: Player, older: int) -> None:
    """A file of an older format has none of the later fields: they are as they usually are."""
    text = history.read_text().replace('"format": 3', f'"format": {older}')
    assert not any(f'"{name}"' in text for name in ADDED)
    history.write_text(text)
    with Records.in_memory() as other:
        player = other.import_history(history, NOW).player
        assert other.answers(player) == records.answers(wren)
        assert (other.rounds(player), other.exams(player)) == (records.rounds(wren), records.exams(wren))


def test_how_an_answer_came_about_moves_too(records: Records, wren: Player, tmp_path: Path) -> None:
    """Every field that an answer, a round, an exam or a take can have arrives, second tries beside the first."""
    records.append(wren, uuid(1), how_it_came_about())
    records.append(wren, uuid(1), how_it_came_about(at=NOW + 9, attempt=2))
    records.save_round(wren, a_round(tries=2, rule=2), uuid(2))
    exam = records.start_exam(wren, "stage-3", {}, NOW)
    records.finish_exam(wren, exam, 0.5, [], NOW + 9, forecast={"probability": 0.25})
    records.keep_take(wren, TAKE)
    records.export_history(tmp_path / "wren.history", wren)
    with Records.in_memory() as other:
        player = other.import_history(tmp_path / "wren.history", NOW).player
        assert other.answers(player) == records.answers(wren)
        assert [answer.attempt for answer in other.answers(player)] == [1] * 4 + [2] * 4
        assert other.rounds(player) == [a_round(tries=2, rule=2)]
        assert other.exams(player) == records.exams(wren)
        assert other.takes(player) == [TAKE]


def test_importing_twice_changes_nothing(history: Path, tmp_path: Path) -> None:
    """The second time nothing is new, and what is exported again is the same, byte for byte."""
    with Records.in_memory() as other:
        player = other.import_history(history, NOW).player
        again = other.import_history(history, NOW)
        assert (again.answers, again.known, again.rounds) == (0, 8, 0)
        other.export_history(tmp_path / "again.history", player)
    assert (tmp_path / "again.history").read_bytes() == history.read_bytes()


def kept(name: str, tempo: float = 80.0) -> KeptFill:
    return KeptFill(name, FILL.count, as_values(FILL), {"tempo": tempo})


def ask(records: Records, asker: Player, other: Player, name: str = "River") -> None:
    records.ask_riddle(asker, other, Riddle(name, "", NOW, as_values(FILL), {"tempo": 72.0}, 4))


def test_fills_move_and_merge(records: Records, wren: Player, tmp_path: Path) -> None:
    """Fills go along; one of the same name that is another gets a number, and the second time nothing is new."""
    path = tmp_path / "wren.history"
    for one in (kept("River"), kept("Alder"), KeptFill("Old", "1 2 3 4", None, {"meter": "4/4"})):
        records.save_fill(wren, one)
    records.export_history(path, wren)
    with Records.in_memory() as other:
        there = other.import_history(path, NOW).player
        assert other.fills(there) == records.fills(wren)
        other.save_fill(there, kept("river", 90.0))
        for new in (1, 0):
            assert other.import_history(path, NOW).fills == new
        assert [(one.name, one.setting.get("tempo")) for one in other.fills(there)] == [
            ("Alder", 80.0), ("Old", None), ("river", 90.0), ("River (2)", 80.0)
        ]  # fmt: skip


def test_riddles_move_and_are_answered_elsewhere(records: Records, wren: Player, tmp_path: Path) -> None:
    """One that was asked here and answered there is answered here, once the file comes back; the other's name stays."""
    finch = records.add_player("Finch", NOW)
    ask(records, wren, finch)
    asked, back = tmp_path / "finch.history", tmp_path / "back.history"
    records.export_history(asked, finch)
    with Records.in_memory() as other:
        came = other.import_history(asked, NOW)
        assert (came.riddles, other.import_history(asked, NOW).riddles) == (1, 0)
        (riddle,) = other.riddles(came.player)
        assert (riddle.asker, riddle.player, riddle.fill) == ("Wren", "Finch", as_values(FILL))
        other.answer_riddle(riddle, 3, NOW + 9, ("1 e a", "1 &", "1", "1 &"))
        other.export_history(back, came.player)
        records.export_history(asked, wren)
        assert other.import_history(asked, NOW).riddles == 0
        # Wren is there by now: the riddle has both its players.
        assert [one.player for one in other.riddles_asked(other.find_player("Wren"))] == ["Finch"]
    for _ in range(2):
        assert records.import_history(back, NOW).riddles == 0
        (found,) = records.riddles_asked(wren)
        assert (found.right, found.said, found.answered) == (3, ("1 e a", "1 &", "1", "1 &"), NOW + 9)
    assert records.riddles(finch) == []
    records.export_history(asked, finch)
    assert lines(asked)[1:] == lines(back)[1:]


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ('{"fill": {"name": "", "count": "1", "fill": null, "setting": {}}}', "line 3: name is ''; use a name of 1"),
        ('{"fill": {"name": "River", "count": "1", "setting": {}}}', "line 3: fill lacks fill"),
        ('{"fill": {"name": "River", "count": "1", "fill": {"meter": "4/4"}, "setting": {}}}',
         "line 3: a fill that can't be read: it needs meter, sticking and beats"),
        ('{"riddle": {"uuid": "7"}}', "line 3: riddle lacks mine, other, other_uuid"),
    ],
)  # fmt: skip
def test_a_bad_fill_is_named_with_its_line(history: Path, line: str, words: str) -> None:
    """What was found and what would do; nothing of the file comes in."""
    head, first, *_ = lines(history)
    history.write_text("\n".join([head, first, line]))
    with Records.in_memory() as other, pytest.raises(HistoryError, match=re.escape(words)):
        other.import_history(history, NOW)


def test_two_machines_merge(history: Path, records: Records, wren: Player, tmp_path: Path) -> None:
    """Both machines played on: after exchanging files in both directions they hold the same."""
    with Records.in_memory() as other:
        there = other.import_history(history, NOW).player
        other.append(there, uuid(10), bar(at=NOW + 5))
        records.append(wren, uuid(11), bar(at=NOW + 3))
        other.export_history(tmp_path / "there.history", there)
        records.export_history(tmp_path / "here.history", wren)
        records.import_history(tmp_path / "there.history", NOW)
        other.import_history(tmp_path / "here.history", NOW)
        expected = [answer for later in (0, 1, 3, 5) for answer in bar(at=NOW + later)]
        assert records.answers(wren) == other.answers(there) == expected


def test_a_taken_name_gets_a_number(history: Path) -> None:
    """Another pupil of that name is another pupil: the file's becomes "Wren (2)", and the caller is told."""
    with Records.in_memory() as other:
        other.add_player("wren", NOW)
        imported = other.import_history(history, NOW)
        assert (imported.player.name, imported.known_as) == ("Wren (2)", "Wren")
        assert other.import_history(history, NOW).player == imported.player


def test_a_long_taken_name_stays_in_bounds(records: Records) -> None:
    """The number fits even where the name is as long as a name can be."""
    records.add_player("x" * 40, NOW)
    assert records.free_name("x" * 40) == "x" * 36 + " (2)"


def test_a_history_can_go_to_a_chosen_player(history: Path) -> None:
    """A teacher may say who it is."""
    with Records.in_memory() as other:
        mine = other.add_player("Wren H.", NOW)
        assert other.import_history(history, NOW, into=mine).player == mine
        assert other.import_history(history, NOW, into=mine).known == 8
        assert other.players() == [mine]


def test_an_imported_player_is_not_most_recent(history: Path) -> None:
    """Bringing a pupil's file in does not change who plays."""
    with Records.in_memory() as other:
        teacher = other.add_player("Hazel", NOW)
        other.import_history(history, NOW)
        assert other.most_recent_player() == teacher


def test_who_is_new_goes_on_at_their_level(history: Path) -> None:
    """The level is that of the last answers; whoever has answers here keeps the level chosen here."""
    with Records.in_memory() as other:
        player = other.import_history(history, NOW).player
        assert other.settings(player).level == bar()[0].level != "stage-1"
        other.save_settings(player, replace(other.settings(player), level="stage-5"))
        other.import_history(history, NOW)
        assert other.settings(player).level == "stage-5"


def test_a_level_that_is_not_here_is_passed_over(records: Records, wren: Player, tmp_path: Path) -> None:
    """A level file of the pupil's own machine is none of this one's."""
    records.append(wren, uuid(1), [replace(one, level="../of-my-own") for one in bar()])
    records.export_history(tmp_path / "own.jsonl", wren)
    with Records.in_memory() as other:
        assert other.settings(other.import_history(tmp_path / "own.jsonl", NOW).player).level == "stage-1"


def test_a_renamed_player_keeps_the_local_name(history: Path) -> None:
    """Where the UUID is known, the name here stays."""
    with Records.in_memory() as other:
        player = other.rename_player(other.import_history(history, NOW).player, "Wren of the Weir")
        assert other.import_history(history, NOW).player == player


def test_a_running_exam_stays_at_home(records: Records, wren: Player, tmp_path: Path) -> None:
    """What is not over yet is not exported."""
    records.start_exam(wren, "stage-3", {}, NOW)
    records.export_history(tmp_path / "wren.history", wren)
    assert len(lines(tmp_path / "wren.history")) == 1


def test_further_keys_are_passed_over(history: Path) -> None:
    """Other programs may add their own keys."""
    history.write_text(history.read_text().replace('"place"', '"mood": "calm", "place"'))
    with Records.in_memory() as other:
        assert other.import_history(history, NOW).answers == 8


def test_notepads_mark_is_borne(history: Path) -> None:
    """A byte order mark, Windows line ends and empty lines are no fault."""
    history.write_bytes(b"\xef\xbb\xbf" + history.read_bytes().replace(b"\n", b"\r\n\r\n"))
    assert sum(isinstance(item, Logged) for item in read_history(history)) == 8


def test_all_bad_lines_are_named_at_once(history: Path, folder: Path) -> None:
    """Each bad line has its number, what was found and what would do, and nothing of the file comes in."""
    text = lines(history)
    text[1] = text[1].replace("80.0", '"fast"').replace('"1 e a"', '"1 zz"')
    text[2] = "not JSON"
    text[3] = '{"answer": {"place": 0}}'
    text[4] = "[1]"
    text[5] = '{"song": 1}'
    text[6] = text[6].replace("2.4", "NaN")
    text[7] = text[7].replace('"4/4"', '"5/4"')
    text[8] = '{"answer": 3}'
    text[9] = text[9].replace(uuid(3), "3")
    history.write_text("\n".join(text))
    with Records.open(folder.parent / "other", NOW) as other:
        with pytest.raises(HistoryError) as caught:
            other.import_history(history, NOW)
        assert other.players() == []
    assert [fault.partition(":")[0] for fault in caught.value.faults] == [f"line {place}" for place in range(2, 11)]
    assert "heard is '1 zz'; use a figure counted on beat 1, like 1 e a" in caught.value.faults[0]
    assert "tempo is 'fast'; use a number from 1 to 1000" in caught.value.faults[0]
    assert caught.value.faults[1] == "line 3: not JSON; a line holds one {...}"
    assert "answer lacks question, at, level" in caught.value.faults[2]
    assert caught.value.faults[4] == "line 6: neither answer, round, exam, take, fill nor riddle: song"
    assert "meter is '5/4'; use one of 2/4, 3/4, 4/4" in caught.value.faults[6]
    assert "answer is no table; it needs question, place" in caught.value.faults[7]
    assert str(caught.value).startswith(f"{history}: line 2: ")


@pytest.mark.parametrize(
    ("field", "value", "words"),
    [
        ("at", -1.0, "at is '-1.0'; use a time in seconds since 1970"),
        ("beat", 4, "beat is 4; a bar of 4/4 has the beats 0 to 3"),
        ("bar", "zzz", "bar is 'zzz'; use a bar of 4/4, counted like 1 e a 2 & 3 4"),
        ("bar", "1 2 3", "bar is '1 2 3'; use a bar of 4/4"),
    ],
)
def test_what_no_bar_can_be_is_refused(history: Path, field: str, value: object, words: str) -> None:
    """Times before 1970, beats outside the bar and bars that can't be read: the line is named."""
    text = lines(history)
    row = json.loads(text[1])
    row["answer"][field] = value
    history.write_text("\n".join([text[0], json.dumps(row)]))
    with pytest.raises(HistoryError, match=re.escape(f"line 2: {words}") if field != "at" else "line 2: at is"):
        read_history(history)


def test_countless_bad_lines_are_summed_up(history: Path) -> None:
    """The message stays readable however many lines are bad."""
    history.write_text(lines(history)[0] + "\nx" * 1000)
    with pytest.raises(HistoryError) as caught:
        read_history(history)
    shown = str(caught.value).splitlines()
    assert len(shown) == FAULTS_SHOWN + 1
    assert shown[-1].endswith("... and 980 more lines")


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "line 1: not JSON"),
        (b"Dear diary\n", "line 1: not JSON"),
        (b'{"title": "stage"}\n', "line 1: this is no history of Drumlin"),
        (b'{"drumlin": "history", "format": 4}\n', "format 4 can't be read here; this Drumlin reads up to 3"),
        (b'{"drumlin": "history", "format": 1}\n', "player is no table; it needs uuid, name, kind"),
        (b"\xff\xfe{\x00\n", "line 1: not UTF-8; save the file as UTF-8"),
        (b"[" * 100_000, "line 1: not JSON"),
        (b'{"drumlin": "history", "format": ' + b"9" * 100_000 + b"}", "line 1: not JSON"),
        (b"x" * 3 * LONGEST_LINE, "line 1: not JSON"),
    ],
)
def test_a_file_that_is_no_history_is_told(tmp_path: Path, content: bytes, words: str) -> None:
    """Whatever the file is: one line that says so."""
    path = tmp_path / "file"
    path.write_bytes(content)
    with pytest.raises(HistoryError, match=words) as caught:
        read_history(path)
    assert len(caught.value.faults) == 1


def test_a_missing_history_is_told(tmp_path: Path) -> None:
    """A path where there is no file is named in one line; so is a folder."""
    for path in (tmp_path / "nowhere", tmp_path):
        with pytest.raises(RecordsError, match="is no file; name a history file that Drumlin wrote"):
            read_history(path)


def test_a_huge_file_of_nothing_is_refused_at_once(tmp_path: Path) -> None:
    """A file of a gigabyte without a line is one fault, and its rest is not read."""
    path = tmp_path / "huge"
    with path.open("wb") as file:
        file.truncate(2**30)
    with pytest.raises(HistoryError, match="line 1: not JSON"):
        read_history(path)


def test_no_file_is_too_long(history: Path) -> None:
    """What is exported can be imported, however much it is: here 138 MB; how far it is read is told on the way."""
    header, answer, *_ = lines(history)
    padded = answer.replace('"place"', f'"of another program": "{"x" * 23_000}", "place"')
    told: list[float] = []
    with history.open("w", encoding="utf-8") as file:
        file.write(header + "\n")
        file.writelines(padded.replace(uuid(1), uuid(number)) + "\n" for number in range(6_000))
    assert history.stat().st_size > 2**27
    with Records.in_memory() as other:
        came = other.import_history(history, NOW, progress=told.append)
    assert (came.answers, came.known) == (6_000, 0)
    assert told == [pytest.approx(5 / 6, abs=0.01)]


@pytest.fixture(scope="module")
def scratch(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A file to write any bytes to."""
    return tmp_path_factory.mktemp("scratch") / "any.history"


HEADER = b'{"drumlin": "history", "format": 1, "player": {"uuid": "%s", "name": "Ash", "kind": "player"}}\n'


@given(st.binary(max_size=300), st.booleans())
def test_any_bytes_are_a_history_or_a_line(scratch: Path, content: bytes, headed: bool) -> None:
    """No file brings anything but a history or our own error."""
    scratch.write_bytes((HEADER % uuid(5).encode() if headed else b"") + content)
    with empty_records() as records:
        try:
            records.import_history(scratch, NOW)
        except HistoryError:
            assert records.players() == []
        else:
            assert [player.name for player in records.players()] == ["Ash"]


def test_an_export_replaces_only_histories(history: Path, records: Records, wren: Player) -> None:
    """An older history of that name is replaced; any other file stays as it is."""
    records.export_history(history, wren)
    # A history stays one when an editor has put the mark of UTF-8 before it.
    history.write_bytes(b"\xef\xbb\xbf" + history.read_bytes())
    records.export_history(history, wren)
    history.write_text("Dear Ash")
    with pytest.raises(RecordsError, match="a file that is no history file is there already; choose another name"):
        records.export_history(history, wren)
    assert history.read_text() == "Dear Ash"


def test_an_import_is_whole_or_not(history: Path, records: Records, monkeypatch: pytest.MonkeyPatch) -> None:
    """When the last row can't be kept, not even the player was added."""
    with Records.in_memory() as other:

        def full(*_: object) -> None:
            raise RecordsError("the disk is full")

        monkeypatch.setattr(other, "save_exam", full)
        with pytest.raises(RecordsError, match="the disk is full"):
            other.import_history(history, NOW)
        assert other.players() == []
    assert records.players()


def test_a_table_reads_back(records: Records, wren: Player, tmp_path: Path) -> None:
    """Python's own CSV reader finds a head, a row for each answer, and the time in UTC."""
    records.append(wren, uuid(1), bar())
    path = tmp_path / "wren.csv"
    assert records.export_csv(path, wren) == 4
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert tuple(rows[0]) == CSV_COLUMNS
    assert [row["said"] for row in rows] == ["1 e a", "1 e", "", "1 & a"]
    assert (rows[0]["time"], float(rows[0]["at"]), rows[0]["bar"]) == (
        "2026-11-25T07:31:31+00:00", NOW, "1 e a 2 & 3 e a 4 & a",
    )  # fmt: skip


def test_a_table_holds_no_formula(records: Records, wren: Player, tmp_path: Path) -> None:
    """A name out of somebody's file that a spreadsheet would run as a formula stands there as a text."""
    names = ("=1+1", "+44", "-3 dB", "@here", "\tstage")
    for number, name in enumerate(names):
        records.append(wren, uuid(number), bar(at=NOW + number, level=name)[:1])
    path = tmp_path / "wren.csv"
    records.export_csv(path, wren)
    with path.open(encoding="utf-8", newline="") as file:
        assert [row["level"] for row in csv.DictReader(file)] == [f"'{name}" for name in names]


def test_figures_on_offer_share_a_cell(records: Records, wren: Player, tmp_path: Path) -> None:
    """The choices of a question stand in one cell, as they were on offer, one after the other."""
    records.append(wren, uuid(1), how_it_came_about())
    records.export_csv(tmp_path / "wren.csv", wren)
    with (tmp_path / "wren.csv").open(encoding="utf-8", newline="") as file:
        row = next(csv.DictReader(file))
    assert (row["choices"], row["met"]) == ("1 e a;1 & a;1 e", "1 e a")
    assert (row["reason"], row["probability"]) == ("mixed up", "0.125")


def test_a_table_replaces_only_tables(records: Records, wren: Player, tmp_path: Path) -> None:
    """A second export replaces the first, and no other file."""
    path = tmp_path / "wren.csv"
    for _ in range(2):
        records.export_csv(path, wren)
    path.write_text("mine")
    with pytest.raises(RecordsError, match="a file that is no table of answers is there already"):
        records.export_csv(path, wren)


@pytest.mark.parametrize("name", ["", " Ash", "x" * 41, "As\\u0000h", "As\\ud800h"])
def test_a_bad_name_in_a_file_is_told(scratch: Path, name: str) -> None:
    """A name that no player could have is refused with the place."""
    scratch.write_bytes((HEADER % uuid(5).encode()).replace(b"Ash", name.encode()))
    with pytest.raises(HistoryError, match=r"line 1: name is .*; use a name of 1 to 40 characters"):
        read_history(scratch)


def test_an_endless_line_is_cut(history: Path) -> None:
    """A line beyond the bound is one fault, and nothing after it is looked at."""
    header = lines(history)[0]
    history.write_text(header + "\n" + "x" * 3 * LONGEST_LINE + "\nx\nx")
    with pytest.raises(HistoryError) as caught:
        read_history(history)
    assert caught.value.faults == ("line 2: not JSON; a line holds one {...}",)


def test_an_export_to_nowhere_is_told(records: Records, wren: Player, tmp_path: Path) -> None:
    """A folder that is not there is named in one line; so is a path that is a folder."""
    with pytest.raises(RecordsError, match=r"there is no folder .*nowhere; make it first"):
        records.export_history(tmp_path / "nowhere" / "wren.history", wren)
    with pytest.raises(RecordsError, match="this is a folder; give the name of a file in it"):
        records.export_csv(tmp_path, wren)


JSON = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=5,
)
THINGS = {
    "answer": {"question": uuid(1), "place": 0, **vars(bar()[0]), "choices": [], "met": []},
    "round": {"uuid": uuid(2), **vars(a_round())},
    "exam": {"uuid": uuid(3), "level": "stage-3", "started": NOW, "finished": NOW, "state": "finished", "mark": 0.5,
             "rules": {}, "detail": None, "forecast": None},
    "take": {"uuid": uuid(4), "at": NOW, "question": None, "source": "pads", "tempo": 80.0,
             "strokes": [[0.0, "R", "snare", 0.8]]},
    "fill": {"name": "River", "count": FILL.count, "fill": as_values(FILL), "setting": {"tempo": 80.0}},
    "riddle": {"uuid": uuid(6), "mine": True, "other": "Finch", "other_uuid": uuid(7), "name": "River", "at": NOW,
               "fill": as_values(FILL), "setting": {}, "beats": 4, "answered": NOW, "right": 3, "said": ["1 e a"]},
}  # fmt: skip


@given(st.data())
def test_any_field_may_hold_anything(scratch: Path, data: st.DataObject) -> None:
    """Whatever stands in a field: it comes in, and goes out again, or its line is named."""
    name = data.draw(st.sampled_from(sorted(THINGS)))
    changed = THINGS[name] | {data.draw(st.sampled_from(sorted(THINGS[name]))): data.draw(JSON)}
    scratch.write_bytes(HEADER % uuid(5).encode() + json.dumps({name: changed}).encode())
    with empty_records() as records:
        try:
            player = records.import_history(scratch, NOW).player
        except HistoryError:
            assert records.players() == []
        else:
            records.export_history(scratch, player)
            exported = json.loads(lines(scratch)[1])
            usual = {field: value for field, value in THINGS[name].items() if field in ADDED}
            assert {name: usual | exported[name]} == {name: changed}


def test_odd_details_are_told(history: Path) -> None:
    """A detail that could not be written out again is refused: endless numbers, half characters, deep nests."""
    for odd in ("1e999", '"\\ud800"', "[" * 60 + "]" * 60, '{"a": [1e999]}'):
        history.write_text("\n".join([lines(history)[0], lines(history)[-1].replace('["1 e a"]', odd)]))
        with pytest.raises(HistoryError, match=r"line 2: detail is .*; use plain JSON, nested no deeper than 50"):
            read_history(history)
        history.write_text(history.read_text().replace(odd, '["1 e a"]'))
