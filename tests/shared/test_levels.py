"""Level files are checked whole: every fault is told at once, and what is good reads back the same."""

import re
import sys
import time
import tomllib
from dataclasses import replace
from fractions import Fraction
from itertools import combinations, pairwise
from pathlib import Path
from statistics import median

import pytest
from hypothesis import given
from hypothesis import strategies as st

from game.sessions.levels.writing import level_text
from shared.bars import METERS, Meter
from shared.figures import Figure
from shared.level_table import read_level
from shared.levels import (
    SHIPPED,
    ExamRules,
    Level,
    LevelError,
    Tempo,
    find_level,
    kept_names,
    ladder_names,
    ladder_place,
    level_from_text,
    level_source,
    load_level,
    own_names,
    read_own,
    shipped_levels,
    shipped_names,
    vocabulary,
    word_remarks,
)
from shared.orchestration import ORCHESTRATIONS
from shared.spelling import spellings
from tests.shared.strategies import COMPOUND_FIGURES, SIMPLE_FIGURES

PLAIN = """
format = 1
title = "Two figures"
meter = "4/4"
figures = ["1", "1 e a"]
"""


def faults_of(text: str) -> tuple[str, ...]:
    with pytest.raises(LevelError) as error:
        level_from_text(text, "mine.toml")
    return tuple(map(str, error.value.faults))


def without_line(fault: str) -> str:
    """A fault without its line, for the checks of its words."""
    return re.sub(r"^mine\.toml: line \d+, ", "mine.toml: ", fault)


TEN_FAULTS = """
format = 2
title = ""
about = 5
meter = "5/4"
figures = ["1", "1 zz"]
orchestrations = ["snares"]
groove_bars = [0, 9]
tempo = { low = 100, high = 10 }
figure = []
[exam]
questions = 0
"""

TEN_PLACES = (
    "figure: unknown key, did you mean 'figures'?",
    "format: found 2; write format = 1",
    'title: found ""; write a text of 1 to 60',
    "about: found 5; write a text",
    'meter: found "5/4"; choose from 2/4, 3/4, 4/4, 6/8, 9/8, 12/8',
    "figures[2]: found \"1 zz\"; character 3, 'zz'",
    'orchestrations[1]: found "snares"; choose from',
    "groove_bars[2]: found 9; write a number from 0 to 3",
    "tempo.high: found 10; write a number from 20 to 400",
    "exam.questions: found 0; write a whole number from 1 to 100",
)


def test_ten_faults_make_ten_lines() -> None:
    """Each fault has a line of its own with the file, the place, what was found and what would do."""
    faults = faults_of(TEN_FAULTS)
    assert len(faults) == len(TEN_PLACES)
    for place in TEN_PLACES:
        assert len([fault for fault in faults if without_line(fault).startswith(f"mine.toml: {place}")]) == 1


@pytest.mark.parametrize(
    ("line", "fault"),
    [
        ('figures = "1"', 'figures: found "1"; write a list of counts'),
        ('figures = ["1"]', "figures: found a list of 1; a level holds 2 to 24 figures"),
        ('figures = ["1", 4]', "figures[2]: found 4; write a count in quotes"),
        ('figures = ["1", "1 la"]', "figures[2]: found \"1 la\"; character 3, 'la': counts a dotted-crotchet beat"),
        ('figures = ["1 e", "1 a", "1 e (&)"]', 'figures[3]: "1 e (&)" and figures[1]: "1 e" sound the same (1 e)'),
        ('new = ["1 &"]', 'new[1]: found "1 &"; name only figures that stand in figures'),
        ('order = "1"', 'order: found "1"; write a list of counts'),
        ('order = ["1 &"]', 'order[1]: found "1 &"; name only figures that stand in figures'),
        ('order = ["1", "1 zz"]', "order[2]: found \"1 zz\"; character 3, 'zz'"),
        ('order = ["1", "1 e a", "1"]', 'order[3]: found "1"; it stands in order[1] already; name it once'),
        ("exam = { playing = -1 }", "exam.playing: found -1; write a whole number from 0 to 100"),
        ("exam = { playing = 1.5 }", "exam.playing: found 1.5; write a whole number from 0 to 100"),
        ("orchestrations = []", "orchestrations: found a list of 0; write a list of one or more of snare"),
        ('orchestrations = ["snair"]', 'orchestrations[1]: found "snair"; choose from snare'),
        ("groove_bars = true", "groove_bars: found True; write a number from 0 to 3"),
        ("tempo = 80", "tempo: found 80; write a table with low, high"),
        ("tempo = { low = 90, high = 60 }", "tempo: found low 90 above high 60; write the slower tempo as low"),
        ("tempo = { lo = 90 }", "tempo.lo: unknown key, did you mean 'low'?"),
        ('exam = { pass_mark = "70" }', 'exam.pass_mark: found "70"; write a number from 0 to 1'),
        ("exam = { pass_mark = 0.9, merit_mark = 0.8 }", "exam: found marks 0.9, 0.8, 0.9; let pass, merit and"),
        ("exam = { pass_mark = 0.95, distinction_mark = 2 }", "exam.distinction_mark: found 2; write a number from 0"),
        ("exam = { questions = 2.5 }", "exam.questions: found 2.5; write a whole number"),
        ('spelling = { "1 e a" = "e e" }', 'spelling."1 e a": found "e e"'),
        ('spelling = { "1 &" = "e e" }', 'spelling."1 &": found "1 &"; name only figures'),
        ('words = { "1" = 3 }', 'words."1": found 3; write a text of at most 40'),
        ('words = { "boo" = "mist" }', 'words."boo": found "boo"; character 1, \'boo\': not a word of the count'),
        ('about = "two\\nlines"', 'about: found "two\ufffdlines"; write a text of 0 to 400 characters, in one line'),
        ('words = { "1" = "a\\u001b[2J" }', 'words."1": found "a\ufffd[2J"; write a text of at most 40'),
        ('"" = 1', '"": unknown key'),
        ("groove_bars = 0x" + "f" * 5000, "groove_bars: found a huge number; write a number from 0 to 3"),
    ],
)
def test_each_fault_has_its_line(line: str, fault: str) -> None:
    """One slip in an otherwise good file gives one line at its own place."""
    key = line.partition(" =")[0]
    kept = [row for row in PLAIN.splitlines() if not row.startswith(f"{key} ")]
    faults = faults_of("\n".join([*kept, line]))
    assert len(faults) == 1
    assert without_line(faults[0]).startswith(f"mine.toml: {fault}")


def test_each_fault_names_its_line() -> None:
    """Keys, pieces of a list over several lines and what stands in a table are each found on their own line."""
    told = faults_of(TEN_FAULTS)
    for place in ("line 6, figures[2]", "line 9, tempo.high", "line 12, exam.questions"):
        assert sum(fault.startswith(f"mine.toml: {place}: found") for fault in told) == 1
    text = SCATTERED.replace('"1 e a"', '"1 zz"').replace("pass_mark = 0.6", "pass_mark = 6")
    assert [fault.partition(": found")[0] for fault in faults_of(text)] == [
        "mine.toml: line 9, figures[3]",
        "mine.toml: line 15, exam.pass_mark",
        'mine.toml: line 18, words."1 e & a"',
    ]


SCATTERED = """# Tuesday group: [brackets], "quotes" and = signs in a comment count for nothing
format = 1
title = "Reeds, \\"old\\" ones = [good]"   # a working title
meter = '4/4'
# the plain ones first
figures = [
  "1",      # known, as "in our book"
  "1 and",  # theirs
  "1 e a",
]
tempo = {low=60,high=90}  # slow!
about = \"\"\"for [a] = rainy day\"\"\"

[exam]  # as it was last year
pass_mark = 0.6   # was 0.5
questions=5
[words]
"1 e & a" = "wa-ter-fall-ing" # not asked here
"1 and" = "mill stream" # theirs
"""
KEPT = SCATTERED.replace('"1 e & a" = "wa-ter-fall-ing" # not asked here\n', "")


def test_a_new_title_changes_nothing_else() -> None:
    """Every comment, blank and order of a teacher's file stays when the level is given another title."""
    level = level_from_text(KEPT, "mine")
    old = 'title = "Reeds, \\"old\\" ones = [good]"'
    assert old in KEPT
    assert level_text(replace(level, title="Rushes"), KEPT) == KEPT.replace(old, 'title = "Rushes"')


def test_editing_keeps_what_stays() -> None:
    """Pieces of lists and tables that stay keep their comments; the others come and go."""
    level = level_from_text(KEPT, "mine")
    one, two, three = level.figures
    other = next(figure for figure in SIMPLE_FIGURES if figure not in level.figures)
    edited = replace(
        level,
        figures=(one, three, other),
        new=(three,),
        words={figure: word for figure, word in level.words.items() if figure != two} | {other: "moss"},
        spelling={three: "s s -s s"},
        exam=replace(level.exam, pass_mark=0.65, hearings=3),
    )
    text = level_text(edited, KEPT)
    assert level_from_text(text, "mine") == edited
    for kept in (
        '# known, as "in our book"',
        "# a working title",
        "{low=60,high=90}  # slow!",
        "pass_mark = 0.65   # was",
    ):
        assert kept in text
    assert text.splitlines()[5:7] == ["figures = [", '  "1",      # known, as "in our book"']
    assert "mill stream" not in text


@given(st.data())
def test_any_edit_reads_back(data: st.DataObject) -> None:
    """Whatever a level becomes, its file holds it afterwards, however the file was laid out."""
    level = data.draw(levels())
    if level.meter.compound:
        return
    read = level_from_text(level_text(level, KEPT), "mine")
    assert read == level
    assert (read.spelling, read.words) == (level.spelling, level.words)


def test_line_ends_and_a_mark_of_order_are_read(tmp_path: Path) -> None:
    """Files of editors that begin with a byte order mark and end lines in two signs are read, and stay so."""
    (tmp_path / "mine.toml").write_bytes(b"\xef\xbb\xbf" + KEPT.replace("\n", "\r\n").encode())
    level = load_level(tmp_path / "mine.toml")
    assert level == level_from_text(KEPT, "mine")
    text = level_text(replace(level, title="Rushes"), level_source("mine", tmp_path))
    assert text.count("\r\n") == KEPT.count("\n")


def test_curly_quotes_get_their_own_words() -> None:
    """What a word processor makes of quotes is told as such, with its line."""
    assert faults_of(PLAIN.replace('"Two figures"', "“Two figures”")) == (
        'mine.toml: line 3: found curly quotes “”; write straight ones, as in title = "A title"',
    )


@pytest.mark.parametrize(
    ("word", "told"),
    [
        ("mist", True),
        ("wa-ter-fall-ing", True),
        ("cas-ca-ding", False),
        ("riverbank", False),
        ("cold wet stone", False),
        ("ice on reeds", False),
        ("水の音", False),
        ("", False),
    ],
)
def test_a_word_of_other_syllables_is_told(word: str, told: bool) -> None:
    """A memory word whose syllables can't be as many as the strokes is odd, not wrong; other scripts are let be."""
    text = PLAIN + f'[words]\n"1 e a" = "{word}"\n'
    remarks = word_remarks(level_from_text(text, "mine"), "mine.toml", text)
    assert bool(remarks) == told
    assert all(str(remark).startswith('mine.toml: line 7, words."1 e a": ') for remark in remarks)


def test_shipped_words_fit_their_strokes() -> None:
    """No shipped word is odd."""
    assert [remark for level in shipped_levels() for remark in word_remarks(level, level.name)] == []


def test_missing_keys_are_faults() -> None:
    """An empty file lacks its format, title, meter and figures."""
    assert {fault.split(": ")[1] for fault in faults_of("")} == {"format", "title", "meter", "figures"}


def test_what_is_left_out_has_a_plain_value() -> None:
    """A level needs no more than format, title, meter and figures."""
    level = level_from_text(PLAIN, "mine")
    assert level == Level("mine", "Two figures", METERS["4/4"], level.figures)
    assert (ExamRules().questions, ExamRules().hearings) == (10, 2)
    assert (level.orchestrations, level.groove_bars, level.tempo, level.exam) == (
        ("snare",),
        (0,),
        Tempo(),
        ExamRules(),
    )


def test_the_level_keeps_its_order() -> None:
    """Figures stand in the order of the file, for tiles keep their places."""
    level = level_from_text(PLAIN.replace('"1", "1 e a"', '"1 & a", "(1)", "1"'), "mine")
    assert [figure.count for figure in level.figures] == ["1 & a", "(1)", "1"]


def test_own_spellings_and_words() -> None:
    """A level can choose another spelling and another word for a figure."""
    text = PLAIN + '[spelling]\n"1 e a" = "s s -s s"\n[words]\n"1 e a" = "hedge-hogs wake"\n'
    level = level_from_text(text, "mine")
    assert {figure.count: code for figure, code in level.spelling.items()} == {"1 e a": "s s -s s"}
    words = {figure.count: word for figure, word in level.words.items()}
    assert words == {"1": vocabulary().words[Figure((0,))], "1 e a": "hedge-hogs wake"}


LINES = st.text(st.characters(categories=["L", "N", "P", "S", "Zs"]), min_size=1, max_size=40)


@st.composite
def levels(draw: st.DrawFn) -> Level:
    """Levels such as a teacher could write."""
    meter: Meter = draw(st.sampled_from(tuple(METERS.values())))
    pool = COMPOUND_FIGURES if meter.compound else SIMPLE_FIGURES
    figures = draw(st.lists(st.sampled_from(pool), min_size=2, max_size=24, unique=True))
    tempi = st.integers(20, 400) | st.floats(20, 400)
    low, high = sorted(draw(st.tuples(tempi, tempi)))
    marks = sorted(draw(st.tuples(*[st.floats(0, 1)] * 3)))
    spelled = draw(st.lists(st.sampled_from(figures), max_size=3))
    worded = draw(st.lists(st.sampled_from(figures), max_size=3))
    plain = {figure: word for figure, word in vocabulary().words.items() if figure in figures}
    return Level(
        name="mine",
        title=draw(LINES.filter(str.strip)),
        meter=meter,
        figures=tuple(figures),
        about=draw(LINES),
        new=tuple(draw(st.lists(st.sampled_from(figures), unique=True))),
        orchestrations=tuple(draw(st.lists(st.sampled_from(tuple(ORCHESTRATIONS)), min_size=1, unique=True))),
        groove_bars=tuple(draw(st.lists(st.integers(0, 3), min_size=1, unique=True))),
        tempo=Tempo(low, high),
        exam=ExamRules(draw(st.integers(1, 100)), draw(st.integers(1, 10)), *marks),
        spelling={figure: draw(st.sampled_from(spellings(figure))).code for figure in spelled},
        words=plain | {figure: draw(LINES) for figure in worded},
    )


@given(levels())
def test_a_written_level_reads_back(level: Level) -> None:
    """The text of a level is a level file that holds the same level."""
    read = level_from_text(level_text(level), "mine")
    assert read == level
    assert (read.spelling, read.words) == (level.spelling, level.words)


SCALARS = st.one_of(
    st.none().map(lambda _: ""), st.booleans(), st.integers(), st.floats(), st.text(max_size=20), st.dates(), st.times()
)
COUNTS = st.sampled_from(["1", "1 e a", "(1) &", "1 trip let", "1 la", "1 zz", "2", "", "1 e (&)"])
VALUES = st.recursive(
    st.one_of(SCALARS, COUNTS),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4), st.dictionaries(st.text(max_size=8) | COUNTS, inner, max_size=3)
    ),
    max_leaves=12,
)
KEYS = st.sampled_from([*Level.__dataclass_fields__, "format", "figure", ""]) | st.text(max_size=10)
TABLES = st.dictionaries(KEYS, VALUES, max_size=12)
NEARLY = TABLES.map(lambda table: {**tomllib.loads(PLAIN), **table})


@given(st.one_of(TABLES, NEARLY))
def test_any_table_gives_a_level_or_its_faults(table: dict[str, object]) -> None:
    """Whatever a table of TOML holds, it is a level or a list of faults, each of one printable line."""
    try:
        level = read_level(table, "mine", "mine.toml", vocabulary().words)
    except LevelError as error:
        faults = tuple(map(str, error.faults))
    else:
        faults = ()
        assert level_from_text(level_text(level), "mine") == level
    assert all(fault.isprintable() and fault.startswith("mine.toml: ") for fault in faults)


@given(st.binary(max_size=200))
def test_any_file_gives_faults_or_a_level(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    """Bytes of any kind are refused by our own error."""
    path = tmp_path_factory.mktemp("levels") / "mine.toml"
    path.write_bytes(content)
    with pytest.raises(LevelError):
        load_level(path)


@given(st.text(max_size=200))
def test_any_text_gives_faults(text: str) -> None:
    """Text that is no level is refused, each fault on one line."""
    assert all(len(fault.splitlines()) == 1 for fault in faults_of(text))


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"format = ", "not TOML"),
        (b"\xff\xfe", "byte 1 is not UTF-8"),
        (b"#" * 200_001, "larger than"),
        (b"x = " + b"[" * 5000, "not"),
        (b"a." * 5000, "5000 dots; a level file has a few"),
    ],
)
def test_files_that_are_no_levels(tmp_path: Path, content: bytes, words: str) -> None:
    """A file that cannot be read at all is named with its fault."""
    (tmp_path / "mine.toml").write_bytes(content)
    with pytest.raises(LevelError, match=words) as error:
        load_level(tmp_path / "mine.toml")
    assert "mine.toml" in str(error.value)


def test_a_missing_file_is_named(tmp_path: Path) -> None:
    """A file that is not there gives one line with its path."""
    with pytest.raises(LevelError, match=r"mine\.toml: cannot be read \(no such file"):
        load_level(tmp_path / "mine.toml")


def test_a_folder_is_no_level(tmp_path: Path) -> None:
    """A folder that is called like a level file is not read."""
    (tmp_path / "mine.toml").mkdir()
    with pytest.raises(LevelError, match=r"mine\.toml: is no file; name a level file"):
        load_level(tmp_path / "mine.toml")


def test_levels_are_found_by_name(tmp_path: Path) -> None:
    """A shipped name, a name in one's own folder and a path all find their level."""
    (tmp_path / "wednesday.toml").write_text(PLAIN)
    assert own_names(tmp_path) == ("wednesday",)
    assert find_level("stage-2").name == "stage-2"
    assert find_level("wednesday", tmp_path) == find_level(str(tmp_path / "wednesday.toml"))


def test_many_own_levels_are_read_in_time_that_grows_with_their_number(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The folder is listed once for all of them, not for each; a file is read again only where it has changed."""
    for number in range(30):
        (tmp_path / f"reed-{number:02}.toml").write_text(PLAIN)
    listed, read = [], []
    plain_glob, plain_read = Path.glob, Path.read_bytes
    monkeypatch.setattr(Path, "glob", lambda *words: listed.append(words) or plain_glob(*words))
    monkeypatch.setattr(Path, "read_bytes", lambda path: read.append(path) or plain_read(path))
    assert [name for name, _ in read_own(tmp_path)] == [f"reed-{number:02}" for number in range(30)]
    assert (len(listed), len(read)) == (1, 30)
    (tmp_path / "reed-07.toml").write_text(PLAIN.replace("Two", "2") + "# changed\n")
    (tmp_path / "reed-08.toml").write_text("format = 2\n")
    found = dict(read_own(tmp_path))
    assert len(read) == 32
    assert isinstance(found["reed-08"], LevelError)
    assert find_level("reed-07", tmp_path) == found["reed-07"]
    assert len(listed) == 2


@pytest.mark.long
def test_two_thousand_own_levels_take_five_times_as_long_as_four_hundred(tmp_path: Path) -> None:
    """Half as much again is allowed for a busy machine, which one measurement may still exceed: the median of five.

    Quadratic growth would be twenty-five times.
    """

    def seconds(number: int, turn: int) -> float:
        folder = tmp_path / f"{number}-{turn}"  # what was read once is kept, so each turn has a folder of its own
        folder.mkdir()
        for place in range(number):
            (folder / f"reed-{place}.toml").write_text(PLAIN)
        start = time.process_time()
        assert len(list(read_own(folder))) == number
        return time.process_time() - start

    ratios = [seconds(2000, turn) / seconds(400, turn) for turn in range(5)]
    assert median(ratios) < 7.5, ratios


@pytest.mark.skipif(sys.platform != "linux", reason="other systems refuse some of these names")
def test_own_levels_of_odd_names(tmp_path: Path) -> None:
    """Hidden files are no levels; a shipped level's name, or one that can't be shown, is told."""
    for name in (".toml", "._reeds.toml", "stage-1.toml", "a\nb.toml", "\udcff.toml", "reeds.toml"):
        (tmp_path / name).write_text(PLAIN)
    found = dict(read_own(tmp_path))
    assert sorted(found) == ["a\nb", "reeds", "stage-1", "\udcff"]
    told = {name: str(level) for name, level in found.items() if isinstance(level, LevelError)}
    assert told["stage-1"] == "stage-1.toml: has the name of a level that comes with Drumlin; rename the file"
    assert told["a\nb"] == '"a\ufffdb.toml": has a name that can\'t be shown; rename the file'
    assert told["\udcff"].isprintable()
    assert "reeds" not in told


def test_of_many_own_levels_some_are_named(tmp_path: Path) -> None:
    """A refusal stays short enough to be read."""
    for number in range(50):
        (tmp_path / f"reed-{number:02}.toml").write_text(PLAIN)
    with pytest.raises(LevelError, match=r"did you mean 'reed-49'\?; choose from .*reed-19 and 30 more of your own"):
        find_level("reed-499", tmp_path)


def test_a_mark_at_the_start_of_a_file_is_read_over(tmp_path: Path) -> None:
    """Some editors put one there."""
    (tmp_path / "mine.toml").write_text(PLAIN, encoding="utf-8-sig")
    assert load_level(tmp_path / "mine.toml").figures == level_from_text(PLAIN, "mine").figures


def test_a_file_of_any_ending_is_found(tmp_path: Path) -> None:
    """A path to a file that is there is read, whatever its name ends in."""
    (tmp_path / "wednesday.txt").write_text(PLAIN)
    assert find_level(str(tmp_path / "wednesday.txt")).name == "wednesday"


def test_a_level_holds_24_figures_and_no_more() -> None:
    """Two to twenty-four figures make a level; one or twenty-five do not."""
    for number, fits in ((1, False), (2, True), (24, True), (25, False)):
        counts = ", ".join(f'"{figure.count}"' for figure in SIMPLE_FIGURES[:number])
        text = PLAIN.replace('"1", "1 e a"', counts)
        if fits:
            assert len(level_from_text(text, "mine").figures) == number
        else:
            with pytest.raises(LevelError, match=f"found a list of {number}; a level holds 2 to 24 figures"):
                level_from_text(text, "mine")


def test_an_unknown_name_is_told_what_there_is(tmp_path: Path) -> None:
    """A mistyped name gets the nearest one and the whole list."""
    with pytest.raises(LevelError, match=r"did you mean 'stage-3'\?; choose from stage-1, stage-2"):
        find_level("stagee-3", tmp_path)


@pytest.mark.parametrize("name", ["n" * 300, "a\0b"], ids=["long", "zero character"])
def test_a_name_that_no_file_can_have_is_unknown(name: str) -> None:
    """A name too long for a file, or with a zero character, is told as any unknown one."""
    with pytest.raises(LevelError, match="there is none of that name; choose from stage-1"):
        find_level(name)


def test_the_ladder_comes_first() -> None:
    """The shipped levels are the eleven to thirteen of the ladder, in order, then those kept for old records."""
    assert 11 <= len(ladder_names()) <= 13
    assert kept_names() == ("stage-6", "stage-7", "stage-8")
    assert shipped_names() == ladder_names() + kept_names()
    assert [level.name for level in shipped_levels()] == list(shipped_names())
    assert {path.stem for path in SHIPPED.glob("*.toml")} == {*shipped_names(), "figures", "ladder"}
    assert [ladder_place(name) for name in ladder_names()] == list(range(1, len(ladder_names()) + 1))
    assert ladder_place("stage-6") is None


OLD_FIGURES = {
    "stage-1": "1; 1 &; (1)",
    "stage-2": "1; 1 &; (1); (1) &; 1 e & a",
    "stage-3": "1; 1 &; (1) &; 1 e & a; 1 e &; 1 & a",
    "stage-4": "1; 1 &; 1 e & a; 1 e &; 1 & a; 1 e; 1 a; 1 e a",
    "stage-5": "1; 1 &; 1 & a; 1 a; 1 e & a; 1 trip let; 1 let; (1) trip let",
    "stage-6": "1 &; 1 e a; 1 e & a; (1) &; (1) e; (1) a; (1) e &; (1) e a; (1) & a; (1) e & a",
    "stage-7": "1; 1 li; 1 la li; (1) la li; 1 la; (1) li; 1 (la) ta li; 1 li ta; 1 ta la li; 1 la ta li; 1 la li ta; "
    "1 ta la ta li ta",
    "stage-8": "1 &; 1 e & a; 1 e a; 1 trip let; 1 let; 1 trip; (1) let; 1 ta trip let; 1 trip ta let; 1 trip let ta; "
    "1 ta trip ta let ta; 1 ta e; 1 a ta; 1 (e) ta & (a) ta; 1 & ta a ta; 1 ta e ta &; 1 ta e ta & ta a ta",
}


@pytest.mark.parametrize("name", OLD_FIGURES)
def test_a_name_keeps_its_meaning(name: str) -> None:
    """The levels that old bests and exams were made on ask the figures that they always asked, in the same order."""
    assert "; ".join(figure.count for figure in find_level(name).figures) == OLD_FIGURES[name]


@pytest.mark.parametrize("level", shipped_levels(), ids=lambda level: level.name)
def test_shipped_levels_are_well_made(level: Level) -> None:
    """Each stage has something new, something to compare it with, and its plain orchestrations first."""
    assert level.new
    assert level.about
    assert level.orchestrations[:2] == ("snare", "down-the-kit")
    assert level.groove_bars[0] == 0
    assert level_from_text(level_text(level), level.name) == level


def test_the_ladder_leads_on_from_rung_to_rung() -> None:
    """At most four figures are new; what is new was never met before, and what is not new has been met."""
    met: set[Figure] = set()
    for level in map(find_level, ladder_names()):
        assert 1 <= len(level.new) <= 4
        assert not met & set(level.new)
        assert set(level.figures) - set(level.new) <= met
        met |= set(level.figures)


NEIGHBOURS = Fraction(1, 12)
"""How far apart, in beats, triplets and semiquavers that are taken for each other lie."""


def test_near_figures_are_met_slowly() -> None:
    """Figures that differ by a twelfth of a beat or less stay at least 55 ms apart, twice a skilled player's drift.

    A trained drummer's strokes stray by 10-20 ms (several studies, from memory).
    """
    for level in shipped_levels():
        for one, two in combinations(level.figures, 2):
            if len(one.onsets) == len(two.onsets) and one.onsets:
                apart = max(abs(a - b) for a, b in zip(one.onsets, two.onsets, strict=True))
                seconds = float(apart) * 60 / level.tempo.high
                assert apart > NEIGHBOURS or seconds >= 0.055, f"{level.name}: {one} and {two}"


def test_strokes_stay_apart() -> None:
    """No two strokes of a shipped figure follow each other in less than 100 ms, so that each is heard for itself."""
    for level in shipped_levels():
        closest = min(b - a for figure in level.figures for a, b in pairwise([*figure.onsets, Fraction(1)]))
        assert float(closest) * 60 / level.tempo.high >= 0.1, level.name


def test_the_ladder_teaches_the_vocabulary() -> None:
    """Every figure is in the vocabulary; the ladder teaches the semiquaver grid and all that the old stages did."""
    taught = {figure for level in map(find_level, ladder_names()) for figure in level.figures}
    assert taught <= set(vocabulary().figures)
    assert set(vocabulary().grids["The semiquaver grid"]) <= taught
    assert {figure for level in map(find_level, kept_names()) for figure in level.figures} <= taught


def test_the_order_is_read_and_written() -> None:
    """A level may settle in which order some of its figures are met."""
    text = PLAIN + 'order = ["1 e a", "1"]\n'
    level = level_from_text(text, "mine")
    assert [figure.count for figure in level.order] == ["1 e a", "1"]
    assert level_from_text(level_text(level), "mine") == level
    assert level_from_text(PLAIN, "mine").order == ()


def test_an_exam_may_ask_for_playing() -> None:
    """The number of bars to be played is part of an exam's rules, none unless it is given."""
    assert ExamRules().playing == 0
    assert level_from_text(PLAIN + "exam = { playing = 4 }\n", "mine").exam.playing == 4


def test_the_vocabulary_holds_no_figure_twice() -> None:
    """Every row of the table of figures is a figure of its own, on its own grid or a coarser one."""
    figures = vocabulary().figures
    assert len(figures) == len(set(figures))


def test_shipped_words_have_a_syllable_for_each_stroke() -> None:
    """A shipped memory word has as many syllables as its figure has strokes; the rest is hushed."""
    for figure, word in vocabulary().words.items():
        syllables = word.replace("-", " ").split()
        assert len(syllables) == max(1, len(figure.onsets)), word


def test_changed_levels_differ() -> None:
    """Levels with another title, figure or spelling are other levels."""
    level = find_level("stage-1")
    changes = ({"title": "Another"}, {"figures": level.figures[:-1]}, {"spelling": {level.figures[1]: "q"}})
    assert all(replace(level, **change) != level for change in changes)  # type: ignore[arg-type]


def test_teachers_are_told_the_ladder() -> None:
    """The page for teachers lists the ladder as it is: each level's place, name, title and new figures."""
    page = (SHIPPED / "TEACHERS.md").read_text(encoding="utf-8")
    for place, level in enumerate(map(find_level, ladder_names()), 1):
        new = ", ".join(f"`{figure.count}`" for figure in level.new)
        assert f"| {place} | `{level.name}` {level.title} | {new} |" in page
