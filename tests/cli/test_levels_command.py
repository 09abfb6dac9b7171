"""``drumlin levels`` lists the levels, checks files and names the ways round the kit."""

import json
from pathlib import Path

from shared.levels import SHIPPED, kept_names, ladder_names, shipped_levels, shipped_names
from shared.orchestration import ORCHESTRATIONS

FAULTY = """
format = 1
title = ""
meter = "5/4"
figures = ["1 e", "1 zz"]
colour = "red"
"""


def test_lists_every_shipped_level(drumlin) -> None:
    """The list names each level, its title and its figures as counts."""
    out = drumlin("levels", "list").out
    for level in shipped_levels():
        assert f"{level.name}: {level.title}" in out
        assert f"{len(level.figures)} figures: {'; '.join(figure.count for figure in level.figures)}" in out


def test_lists_without_a_word(drumlin) -> None:
    """``levels`` alone is the list."""
    assert drumlin("levels").out == drumlin("levels", "list").out


def test_the_ladder_is_numbered(drumlin) -> None:
    """The ladder comes first, numbered; after it the levels that are kept for old records, marked as such."""
    entries = drumlin("levels", "list").out.split("\n\n")
    heads = [entry.partition(":")[0] for entry in entries]
    assert heads == [*(f"{place}. {name}" for place, name in enumerate(ladder_names(), 1)), *kept_names()]
    assert ["outside the ladder; kept for old records and exams" in entry for entry in entries] == [
        head in kept_names() for head in heads
    ]


def test_json_holds_counts(drumlin) -> None:
    """In JSON each level has its figures as counts, in the level's order."""
    told = json.loads(drumlin("levels", "list", "--json").out)
    assert [level["name"] for level in told] == list(shipped_names())
    assert [level["ladder"] for level in told] == [*range(1, len(ladder_names()) + 1), *[None] * len(kept_names())]
    assert told[0]["order"] == ["1", "1 &", "(1)"]
    assert told[2]["figures"] == [figure.count for figure in shipped_levels()[2].figures]
    assert set(told[0]["tempo"]) == {"low", "high"}


def test_json_before_or_after(drumlin) -> None:
    """The option may stand before or after the word ``list``."""
    assert drumlin("levels", "--json", "list").out == drumlin("levels", "list", "--json").out


def test_lists_own_levels(drumlin, tmp_path: Path) -> None:
    """A level in the data folder is listed with the shipped ones."""
    own = tmp_path / "kept" / "levels"
    own.mkdir(parents=True)
    (own / "millrace.toml").write_text((SHIPPED / "stage-3.toml").read_text(encoding="utf-8"), encoding="utf-8")
    assert "millrace: Two short, one long" in drumlin("levels", "list", "--data-dir", str(tmp_path / "kept")).out


def test_own_faulty_level_is_left_out(drumlin, tmp_path: Path) -> None:
    """A faulty level in the data folder is told of in one line and hides no other."""
    own = tmp_path / "kept" / "levels"
    own.mkdir(parents=True)
    (own / "millrace.toml").write_text("format = 1", encoding="utf-8")
    ending = drumlin("levels", "list", "--data-dir", str(tmp_path / "kept"))
    assert ending.code == 0
    assert "stage-8" in ending.out
    assert ending.line.startswith("drumlin: millrace is left out, with ")
    assert ending.line.endswith(f"drumlin levels check {own / 'millrace.toml'}")


def test_orchestrations_have_a_line_each(drumlin) -> None:
    """Every orchestration is named with one line of what it does."""
    lines = drumlin("levels", "orchestrations").out.splitlines()
    assert lines == [f"{way.name}: {way.about}" for way in ORCHESTRATIONS.values()]
    assert lines[0].startswith("snare: ")


def test_orchestrations_json(drumlin) -> None:
    """The orchestrations in JSON have the same names and words."""
    told = json.loads(drumlin("levels", "orchestrations", "--json").out)
    assert {"name": "snare", "about": "every stroke on the snare drum"} in told
    assert len(told) == len(ORCHESTRATIONS)


def test_good_files(drumlin) -> None:
    """Every shipped level passes the check."""
    files = [str(SHIPPED / f"{name}.toml") for name in shipped_names()]
    ending = drumlin("levels", "check", *files)
    assert (ending.code, ending.err) == (0, "")
    assert ending.out.splitlines() == [f"{file}: good" for file in files]


def test_every_fault_is_told(drumlin, tmp_path: Path) -> None:
    """A file with faults gives one line for each, with its place, and exit code 1; the good file still passes."""
    faulty, good = tmp_path / "reeds.toml", str(SHIPPED / "stage-1.toml")
    faulty.write_text(FAULTY, encoding="utf-8")
    ending = drumlin("levels", "check", str(faulty), good)
    assert ending.code == 1
    assert ending.out == f"{good}: good\n"
    lines = ending.err.splitlines()
    assert all(line.startswith("drumlin: reeds.toml: ") for line in lines)
    for place in ("title: found", "meter: found", "colour: unknown key"):
        assert sum(f" {place}" in line for line in lines) == 1


def test_faults_in_json(drumlin, tmp_path: Path) -> None:
    """In JSON a file has whether it is good, and its faults."""
    (tmp_path / "reeds.toml").write_text(FAULTY, encoding="utf-8")
    ending = drumlin("levels", "check", "reeds.toml", "--json")
    (told,) = json.loads(ending.out)
    assert (ending.code, told["file"], told["good"]) == (1, "reeds.toml", False)
    assert len(told["faults"]) == len(ending.err.splitlines()) >= 3


def test_missing_level_file(drumlin) -> None:
    """A file that is not there is one line."""
    ending = drumlin("levels", "check", "nowhere.toml")
    assert ending.code == 1
    assert ending.line.startswith("drumlin: nowhere.toml: cannot be read (no such file or directory)")


def test_an_odd_memory_word_is_told(drumlin, tmp_path: Path) -> None:
    """A word with other syllables than strokes is told beside the good news; the file is good all the same."""
    file = tmp_path / "reeds.toml"
    good = 'format = 1\ntitle = "Reeds"\nmeter = "4/4"\nfigures = ["1", "1 e a"]\n[words]\n"1 e a" = "mist"\n'
    file.write_text(good, encoding="utf-8-sig")
    ending = drumlin("levels", "check", str(file))
    assert ending.code == 0
    assert ending.out.splitlines()[0] == f"{file}: good"
    assert 'line 6, words."1 e a": syllables in "mist": 1, as it seems; strokes in 1 e a: 3' in ending.out
    (told,) = json.loads(drumlin("levels", "check", str(file), "--json").out)
    assert told["good"]
    assert len(told["remarks"]) == 1
