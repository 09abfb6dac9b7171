"""``drumlin listen``: the whole quiz in words, by typed lines or by a file of answers."""

import io
import json
import re
from dataclasses import replace
from pathlib import Path

import pytest

from game.cli import dialogue, listen
from game.learning.coach import Coach
from game.learning.staircase import TWO_BARS
from game.records import Records, Settings
from game.screens.context import open_context
from game.service import Service
from game.sessions.hearing.hearing import beat_alone
from game.sessions.practice.scoring import RULE
from shared.counting import parse_bar
from shared.difference import difference
from shared.levels import find_level
from shared.orchestration import arrange
from shared.passages import Passage
from tests.records.record_samples import DAY, NOW, bar, uuid


@pytest.fixture(autouse=True)
def no_device(monkeypatch: pytest.MonkeyPatch) -> None:
    """No sound device, whatever the test runs on: nothing is waited for."""
    monkeypatch.setenv("SDL_AUDIODRIVER", "nonesuch")


@pytest.fixture
def typed(drumlin, monkeypatch: pytest.MonkeyPatch):
    """Run ``listen`` on a fixed seed with these lines typed."""

    def run(lines: str, *words: str):
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        return drumlin("listen", "--seed", "7", "--begin", "at-once", *words)

    return run


@pytest.fixture
def scripted(drumlin, tmp_path: Path):
    """Run ``listen`` on a fixed seed with these lines in a file of answers."""

    def run(lines: str, *words: str):
        (tmp_path / "answers.txt").write_text(lines, encoding="utf-8")
        return drumlin("listen", "--seed", "7", "--answers", "answers.txt", "--begin", "at-once", *words)

    return run


@pytest.fixture
def first_bar(scripted) -> str:
    """The count of the first bar that the seed asks."""
    return json.loads(scripted("\n", "--questions", "1", "--no-record", "--json").out)["bar"]


def kept() -> list:
    """The answers in the test's own data folder, whoever played."""
    with Records.open(Path("data/drumlin"), 0.0) as records:
        return records.answers(records.players()[0])


@pytest.mark.parametrize("ahead", [-5 * DAY, DAY])
def test_the_coach_knows_what_the_windows_coach_knows(scripted, monkeypatch: pytest.MonkeyPatch, ahead: float) -> None:
    """Answers to the same figures on another level count, and those of tomorrow too, after a clock was set back."""
    monkeypatch.setattr("time.time", lambda: NOW)
    folder = Path("data/drumlin")
    folder.mkdir(parents=True)
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        for number in range(12):
            records.append(wren, uuid(number), bar(NOW + ahead + 60 * number))
    context = open_context(lambda: NOW, lambda: 7, "Wren", "stage-4", folder)
    with context.records:
        asked = context.coach().ask(NOW)
    told = scripted("\n", "--player", "Wren", "--level", "stage-4", "--questions", "1", "--json").out
    assert json.loads(told)["bar"] == asked.bar.count


def test_the_players_hand_feel_and_swing_are_heard(typed, monkeypatch: pytest.MonkeyPatch) -> None:
    """The terminal plays as the window does: what the player has set holds for the bar, slower and for one beat."""
    folder = Path("data/drumlin")
    folder.mkdir(parents=True)
    with Records.open(folder, NOW) as records:
        records.save_settings(records.add_player("Wren", NOW), Settings(hand="L", feel="loose", swing=62))
    played: list[Passage] = []
    monkeypatch.setattr("audio.sound.Sound.play", lambda _, passage: played.append(passage))
    bar = re.search("The bar was: (.*)", typed("again\nslower\nbeat 4\nskip\n", "--questions", "1").out)
    assert bar
    question = Coach.replay(find_level("stage-1"), [], 7).ask(NOW)
    assert bar[1] == question.bar.count
    usual = replace(question.setting, lead="L", feel=1.0, swing=62)
    whole = arrange(question.bar, usual)
    assert played == [whole, whole, arrange(question.bar, usual.slower(0.75)), beat_alone(whole, 4)]


def test_a_right_answer(typed, first_bar: str) -> None:
    """The bar said as it was is right on every beat, and the reveal names count and sticking."""
    out = typed(f"{first_bar}\n\n", "--questions", "1").out
    assert f"4 of 4 right.\nThe bar was: {first_bar}\nSticking: " in out
    assert "4 of 4 beats right: 40 of 40 points.\n" in out


def test_a_wrong_beat_is_told_in_words(typed, first_bar: str) -> None:
    """A wrong beat is told as what was said and what it was."""
    heard = parse_bar(first_bar).figures[2]
    other = next(figure for figure in find_level("stage-1").figures if figure != heard)
    said = parse_bar(first_bar).with_figures({2: other}).count
    out = typed(f"{said}\n\n", "--questions", "1").out
    assert f"Beat 2: right.\nBeat 3: you said {other.count_on(3)}, it was {heard.count_on(3)}.\nBeat 4: right." in out
    apart = difference(heard, other).sentence
    assert f"\n{heard} beside {other}: {apart}\n30 of 40 points: 3 of 4 right.\n" in out
    assert f"Mixed up: {heard} was taken for {other}, once. {apart}\n" in out
    assert f"To aim at next: {heard} and {other}: To tell these two apart." in out


def test_a_wrong_word_is_asked_again(typed, first_bar: str) -> None:
    """A word that is none of the count is told with its place, and the bar is asked again."""
    out = typed(f"1 2 zz\n{first_bar}\n", "--questions", "1").out
    assert "character 5, 'zz': not a word of the count" in out
    assert "4 of 4 right." in out


def test_a_figure_of_another_level_is_asked_again(typed, first_bar: str) -> None:
    """A figure that the level does not have is told with those that it has."""
    out = typed(f"1 trip let 2 3 4\n{first_bar}\n", "--questions", "1").out
    assert "1 trip let: not one of the figures to choose from: 1; 1 &; (1)\n" in out
    assert "4 of 4 right." in out


def test_hearing_again_costs_points(typed, first_bar: str) -> None:
    """Again takes 1 off each beat, slower 1 more and 1 for hearing it, a beat alone 1 off that beat: 40 - 12 - 1."""
    out = typed(f"again\nslower\nbeat 2\n{first_bar}\n", "--questions", "1").out
    assert "27 of 40 points: 4 of 4 right, the bar heard 3 times, slowly, beat 2 heard alone." in out
    assert "4 of 4 beats right: 27 of 40 points." in out
    assert {answer.hearings for answer in kept()} == {4}


def test_short_words(typed, first_bar: str) -> None:
    """One letter does for a word."""
    out = typed(f"r\ns\nb 2\nf\n?\n{first_bar}\nm\nr\nq\n", "--questions", "2").out
    assert "To choose from: 1; 1 &; (1)\n" in out
    assert dialogue.HELP in out
    assert "is no word here" not in out
    assert "Bar 2 of 2." not in out


def test_beats_that_are_not_asked(typed) -> None:
    """A beat that there is not is told with those there are."""
    assert "Which beat? Say beat and one of: 1, 2, 3, 4\n" in typed("beat 5\nquit\n").out


def test_unknown_word_after_the_reveal(typed) -> None:
    """After the reveal a word that means nothing does not go on."""
    out = typed("skip\nonwards\n\nquit\n").out
    assert "'onwards' is no word here; Enter goes on, ? is help.\n" in out
    assert out.count("Bar 2 of 10.") == 1


def test_explaining_the_bar(typed, first_bar: str) -> None:
    """After the reveal each beat is named in a line, and all that is known of one is told when it is asked for."""
    out = typed("skip\nexplain\ne 2\nquit\n").out
    beats = parse_bar(first_bar).figures
    for place, figure in enumerate(beats, 1):
        assert f"\nBeat {place}: {figure.count_on(place)}; " in out
    assert f"\nBeat 2: {beats[1].count_on(2)}\n  strokes: " in out
    assert out.count("  strokes: ") == 1


def test_the_reason_for_the_next(typed) -> None:
    """The reveal says why the next bar comes."""
    out = typed("skip\nquit\n").out
    assert "\nNext: " in out.partition("The bar was: ")[2]


def test_the_end_of_the_input_ends_the_quiz(typed) -> None:
    """Where the input ends the quiz ends with what was answered, and well."""
    ending = typed("skip\n\n")
    assert (ending.code, ending.err) == (0, "")
    assert ending.out.endswith(f"0 of 4 beats right: 0 of 40 points.\n{RULE}\n")


def test_no_device_is_said_once(typed) -> None:
    """Where there is no sound device the quiz says so once."""
    assert typed("again\nagain\nskip\n\nskip\n\n").out.count("No sound device was found") == 1


def test_no_cursor_tricks(typed) -> None:
    """Everything said is plain lines of text: no control characters, nothing drawn."""
    out = typed("?\nslower\nskip\n\n").out
    assert all(sign == "\n" or sign.isprintable() for sign in out)


def test_an_answer_is_kept_before_its_reveal(typed, first_bar: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """What is interrupted at the reveal is in the records already."""

    def interrupt(*_: object) -> list[str]:
        raise KeyboardInterrupt

    monkeypatch.setattr("game.cli.listen.reveal_lines", interrupt)
    assert typed(f"{first_bar}\n").code == 130
    assert [answer.said for answer in kept()] == [figure.count for figure in parse_bar(first_bar).figures]


def test_answers_are_kept_as_listening(typed) -> None:
    """A skipped bar is kept with nothing said, as an answer of the terminal quiz."""
    typed("skip\n", "--questions", "1", "--player", "Hazel")
    assert {(answer.kind, answer.said) for answer in kept()} == {("listen", None)}


def test_no_record(scripted) -> None:
    """With ``--no-record`` nothing is kept, and the greeting says so."""
    run = scripted("1 2 3 4\n", "--questions", "1", "--no-record")
    assert run.code == 0
    assert "No record is kept of this." in run.out
    assert not Path("data/drumlin/records.sqlite").exists()


def test_json_lines(scripted) -> None:
    """In JSON each question is a line with the bar, the answer and the mark, and nothing else is printed."""
    told = [
        json.loads(line)
        for line in scripted("1 2 3 4\n1 & 2 & 3 & 4 &\n", "--questions", "2", "--json").out.splitlines()
    ]
    assert [row["question"] for row in told] == [1, 2]
    assert [row["answer"] for row in told] == ["1 2 3 4", "1 & 2 & 3 & 4 &"]
    for row in told:
        bar, said = parse_bar(row["bar"]), parse_bar(row["answer"])
        assert row["asked"] == [1, 2, 3, 4]
        assert row["right"] == [heard == answered for heard, answered in zip(bar.figures, said.figures, strict=True)]
        assert row["mark"] == sum(row["right"]) / 4
        assert row["reason"]


def test_too_few_answers(scripted) -> None:
    """Bars after the last line are skipped, which is said once."""
    ending = scripted("1 2 3 4\n", "--questions", "3", "--json")
    assert [json.loads(line)["answer"] for line in ending.out.splitlines()] == ["1 2 3 4", None, None]
    assert ending.code == 0
    assert ending.line == "drumlin: answers.txt: no more lines at bar 2; this bar and the rest are skipped"


def test_a_line_that_is_no_count(scripted) -> None:
    """A faulty line is told with its number and skips its own bar only."""
    ending = scripted("1 zz\n1 2 3 4\n", "--questions", "2", "--json")
    assert [json.loads(line)["answer"] for line in ending.out.splitlines()] == [None, "1 2 3 4"]
    assert ending.line.startswith("drumlin: answers.txt, line 1: character 3, 'zz': not a word of the count")


def test_a_line_with_a_strange_figure(scripted) -> None:
    """A figure that the level does not have is no answer to its beat; the other beats count."""
    ending = scripted("1 e a 2 3 4\n", "--questions", "1", "--json")
    told = json.loads(ending.out)
    assert told["answer"] == "1 e a 2 3 4"
    assert told["right"][0] is False
    told = "1 e a is not one of the figures to choose from and counts as no answer"
    assert ending.line == f"drumlin: answers.txt, line 1: {told}"


def test_same_seed_same_bar(scripted) -> None:
    """With the same seed and no record the first bars are the same."""
    words = ("--questions", "3", "--no-record", "--json")
    assert scripted("\n\n\n", *words).out == scripted("\n\n\n", *words).out


def test_tempo_of_choice(scripted) -> None:
    """``--tempo`` holds for every bar."""
    out = scripted("\n\n", "--questions", "2", "--tempo", "71", "--json").out
    assert {json.loads(line)["tempo"] for line in out.splitlines()} == {71}


def test_a_full_round_counts(scripted) -> None:
    """Ten bars make a round, which is kept and held against the best one."""
    first = scripted("1 2 3 4\n" * 10)
    assert first.out.endswith("Your best round of this level so far, of as many beats.\n")
    assert scripted("\n" * 10).out.splitlines()[-1].startswith("Your best round of this level, of as many beats: ")
    assert "Your best round" not in scripted("\n" * 11, "--questions", "11").out


def test_a_level_of_choice(scripted) -> None:
    """``--level`` names a shipped level or a file."""
    assert scripted("\n", "--questions", "1", "--level", "stage-5").out.startswith("stage-5, ")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--answers", "nowhere.txt"], "nowhere.txt: cannot be read (no such file or directory)"),
        (["--level", "stage-33"], "level 'stage-33': there is none of that name"),
        (["--tempo", "10"], "tempo 10: choose from 20 to 400 beats a minute"),
    ],
)
def test_refusals(drumlin, words: list[str], said: str) -> None:
    """What can't be had is one line."""
    ending = drumlin("listen", *words)
    assert ending.code == 1
    assert ending.line.startswith(f"drumlin: {said}")


def test_answers_that_are_no_text(drumlin, tmp_path: Path) -> None:
    """A file of answers that is no text is refused with the place."""
    (tmp_path / "answers.txt").write_bytes(b"1 2\n\xff")
    ending = drumlin("listen", "--answers", "answers.txt")
    assert (ending.code, ending.line) == (1, "drumlin: answers.txt: byte 5 is not UTF-8 text; save it as UTF-8")


def test_a_new_player_is_greeted(scripted) -> None:
    """A new player is told of care and of who else is here; an old one is not."""
    first = scripted("\n", "--questions", "1", "--player", "Wren").out
    assert "A new record begins for Wren. Set the volume low first." in first
    assert "The record of Wren.\n" in scripted("\n", "--questions", "1", "--player", "wren").out
    assert (
        "A new record begins for Ash (there are also: Wren)."
        in scripted("\n", "--questions", "1", "--player", "Ash").out
    )


def test_sound_is_waited_for(monkeypatch: pytest.MonkeyPatch) -> None:
    """The prompt comes when the bar is over: a screen reader and the drums do not speak at once."""
    places = iter([0.0, 0.5, 1.0, None])
    played, naps = [], []

    class Device:
        silent = False

    class Drums:
        def play(self, passage: object) -> None:
            played.append(passage)

        def position(self) -> float | None:
            return next(places)

        def open(self) -> Device:
            return Device()

    monkeypatch.setattr("game.cli.listen.time.sleep", naps.append)
    listen.Waiting(Drums()).play("a passage")
    assert (played, len(naps)) == (["a passage"], 3)


@pytest.fixture
def beginner(drumlin, monkeypatch: pytest.MonkeyPatch):
    """Run ``listen`` as a new player does, with these lines typed: nothing is said of how the level begins."""

    def run(lines: str, *words: str):
        monkeypatch.setattr("sys.stdin", io.StringIO(lines))
        return drumlin("listen", "--seed", "7", "--level", "stage-4", *words)

    return run


def test_new_figures_are_met_first(beginner) -> None:
    """A new figure is told of, with its hands, its notes, its word and what to listen for, before it is asked."""
    out = beginner("\n\n\nskip\n").out
    met, _, asked = out.partition("Bar 1 of 10.")
    assert "Is all of this new to you?" in met
    assert "\nNew: 1.\nIt is played R.\nIt is written crotchet.\nA word for it: rain.\n" in met
    assert "\nNew: 1 &.\n" in met
    assert "\n1 & beside 1: Both begin on the beat; “1 &” adds the &, so its strokes are even.\n" in met
    assert re.search(r"Name beat \d\. .*\nThe bar: .*\d \?.*\nTo choose from: 1; 1 &\n", asked)


def test_what_is_met_can_be_heard(beginner, monkeypatch: pytest.MonkeyPatch) -> None:
    """The very first sounds alone; a later one with the one it is like, alone, slower and so on, as often as wanted."""
    played: list[Passage] = []
    monkeypatch.setattr("audio.sound.Sound.play", lambda _, passage: played.append(passage))
    out = beginner("\n\nagain\nslower\nother\nonwards\n\nskip\n").out
    assert "'onwards' is no word here; Enter goes on, ? is help." in out
    first, both, alone, slower, again = played[:5]
    assert first.bars == alone.bars
    assert both == again
    assert both.bars == 2 * alone.bars
    assert (alone.tempo, slower.tempo) == (56, 42)
    assert len({stroke.at for stroke in first.strokes if stroke.figure}) == 1
    assert len({stroke.at for stroke in alone.strokes if stroke.figure}) == 2
    assert any(stroke.instrument == "click" for stroke in alone.strokes)
    assert len(played) == 6


def test_who_knows_some_sounds_the_level_out(beginner) -> None:
    """Who knows some of it is asked bars of all figures first, and meets nothing before."""
    out = beginner("known\nskip\n").out
    assert "New: " not in out
    assert "Name beats 1, 2, 3, 4." in out
    assert "To choose from" not in out
    again = beginner("skip\n").out
    assert "Is all of this new to you?" not in again
    assert "Name beats 1, 2, 3, 4." in again


def test_heard_before_is_asked_among_all(beginner) -> None:
    """A figure that was heard before is asked at once among all that were met, not between two."""
    met: list[str] = []
    for _ in range(30):
        out = beginner("\n" if not met else "known\nskip\n\n", "--questions", "1").out
        met += re.findall("New: (.*)\\.", out)
        if len(met) >= 3 and "New: " in out:
            break
    chosen = re.search("To choose from: (.*)", out)
    assert chosen
    assert len(chosen[1].split("; ")) == len(set(met))


def test_a_mistake_is_told_by_what_to_listen_for(typed, first_bar: str) -> None:
    """After a wrong beat the two figures are set side by side in one sentence, once for each pair."""
    heard = parse_bar(first_bar).figures
    other = next(figure for figure in find_level("stage-1").figures if figure != heard[0])
    said = parse_bar(first_bar).with_figures({k: other for k in range(4) if heard[k] == heard[0]}).count
    out = typed(f"{said}\n\n", "--questions", "1").out
    assert out.count(f"{heard[0]} beside {other}: {difference(heard[0], other).sentence}\n") == 1


def test_a_file_holds_the_asked_beats(drumlin, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Step by step a meeting takes no line; each line holds the asked beats or the whole bar."""
    # What is forgotten from bar to bar chooses the next one: on a busy machine it would be another each time.
    monkeypatch.setattr("game.cli.listen.time.time", lambda: 1_750_000_000.0)

    def told(answers: list[str]) -> list[dict]:
        (tmp_path / "answers.txt").write_text("\n".join(answers) + "\n", encoding="utf-8")
        words = ("--level", "stage-4", "--seed", "7", "--no-record", "--json", "--questions", str(len(answers) + 1))
        out = drumlin("listen", "--answers", "answers.txt", *words).out
        return [json.loads(line) for line in out.splitlines()]

    answers: list[str] = []
    for number in range(16):
        row = told(answers)[-1]
        assert row["question"] == number + 1
        figures = parse_bar(row["bar"]).figures
        alone = " ".join(figures[beat - 1].count_on(beat) for beat in row["asked"])
        answers.append(row["bar"] if number % 2 else alone)
    rows = told(answers)[:-1]
    assert all(row["mark"] == 1 for row in rows)
    assert rows[0]["meets"] == rows[0]["choices"] == ["1", "1 &"]
    assert [len(row["asked"]) for row in rows][:2] == [1, 1]
    assert len(rows[-1]["choices"]) >= 4
    met: list[str] = []
    for row in rows:
        met += row["meets"]
        assert set(row["choices"]) <= set(met)
    assert len(met) == len(set(met)) >= 4


def test_the_first_meeting_tells_of_no_other_figure(beginner) -> None:
    """Of two new figures the first is met alone; what tells them apart is said where the second is met."""
    out = beginner("\n\n\n", "--questions", "1").out
    first, second = out.split("\nNew: ")[1:3]
    assert "beside" not in first.partition("Enter")[0]
    assert "Next comes one that is like it." in first
    assert " beside " in second


def test_two_bars_from_memory_in_the_terminal(typed, monkeypatch: pytest.MonkeyPatch) -> None:
    """Both sound once and in a row, are answered one after the other, and only then told, each by itself."""
    coach_of, played = Service.coach, []

    def remembering(service: Service) -> Coach:
        coach = coach_of(service)
        coach.staircase = replace(coach.staircase, memory=TWO_BARS)
        coach.holds = lambda _now: True
        return coach

    monkeypatch.setattr(Service, "coach", remembering)
    monkeypatch.setattr("audio.sound.Sound.play", lambda _, passage: played.append(passage))
    out = typed("again\nnot sure\nnot sure\n\n\nquit\n", "--questions", "2").out
    assert len(played) == 1
    assert played[0].bars - played[0].figure_bar == 2
    assert "Two bars in a row, heard once: name this one, then bar 2." in out
    assert "This bar sounds once only." in out
    assert out.index("Your count of the second bar:") < out.index("The bar was: ")
    assert out.count("The bar was: ") == 2
    assert "Enter for the second bar" in out
    assert len(kept()) == 8


def test_beginning_all_at_once_is_a_choice(beginner, drumlin) -> None:
    """``--begin at-once`` meets nothing and asks all; another word is wrong usage."""
    out = beginner("skip\n", "--begin", "at-once").out
    assert "Bar 1 of 10.\nName beats" in out
    assert "New: " not in out
    assert drumlin("listen", "--begin", "slowly").code == 2


def wrong_on(count: str, *beats: int) -> str:
    """A bar of stage 4 with other figures on these beats (from 1)."""
    bar, figures = parse_bar(count), find_level("stage-4").figures
    others = {beat - 1: next(f for f in figures if f != bar.figures[beat - 1]) for beat in beats}
    return bar.with_figures(others).count


@pytest.fixture
def stage_4_bar(scripted) -> str:
    """The count of the first bar that the seed asks on stage 4."""
    return json.loads(scripted("\n", "--questions", "1", "--no-record", "--json", "--level", "stage-4").out)["bar"]


def test_wrong_beats_are_tried_once_more(typed, stage_4_bar: str) -> None:
    """The beats that were not right are named, also where they are said again; marks are those of the first try."""
    second = parse_bar(stage_4_bar).figures[1].count_on(2)
    wrong = parse_bar(wrong_on(stage_4_bar, 2)).figures[1].count_on(2)
    lines = f"{wrong_on(stage_4_bar, 2)}\n{wrong_on(stage_4_bar, 2)}\n{second}\n\n"
    out = typed(lines, "--questions", "1", "--level", "stage-4").out
    assert "\nNot right: beat 2.\nOnce more, or Enter to be told:\n" in out
    assert f"Beat 2 is not {wrong}: say another figure there." in out
    assert "3 of 4 right." in out
    assert "Beat 2: right the second time." in out
    assert sorted((row.attempt, row.beat, row.said == row.heard) for row in kept()) == [
        (1, 0, True), (1, 1, False), (1, 2, True), (1, 3, True), (2, 1, True),
    ]  # fmt: skip


def test_a_second_try_can_be_left(typed, stage_4_bar: str) -> None:
    """Enter alone is told the answer, and whoever leaves keeps the first try."""
    wrong = wrong_on(stage_4_bar, 1, 3)
    out = typed(f"{wrong}\n\n\n", "--questions", "1", "--level", "stage-4").out
    assert "Not right: beats 1, 3.\n" in out
    assert f"The bar was: {stage_4_bar}\n" in out
    typed(f"{wrong}\nquit\n", "--level", "stage-4", "--player", "Hazel")
    with Records.open(Path("data/drumlin"), 0.0) as records:
        rows = records.answers(records.player_named("Hazel"))
    assert {row.attempt for row in rows} == {1}
    assert len(rows) == 4


@pytest.mark.parametrize("words", ["not sure", "n"])
def test_not_sure_is_an_answer(typed, words: str) -> None:
    """Who is not sure says so; it is kept as such, with nothing said."""
    out = typed(f"{words}\n\n\n", "--questions", "1").out
    assert "0 of 4 right." in out
    assert {(row.unsure, row.said) for row in kept()} == {(True, None)}


def test_not_sure_of_one_beat(typed, first_bar: str) -> None:
    """A question mark in a beat says "not sure" of that beat alone."""
    figures = parse_bar(first_bar).figures
    said = " ".join("2 ?" if beat == 2 else figure.count_on(beat) for beat, figure in enumerate(figures, 1))
    assert "3 of 4 right." in typed(f"{said}\n\n\n", "--questions", "1").out
    assert [(row.unsure, row.said == row.heard) for row in kept()] == [
        (False, True), (True, False), (False, True), (False, True),
    ]  # fmt: skip


def test_not_sure_in_a_file(scripted) -> None:
    """A file may say "not sure" as well, and its JSON tells of which beats."""
    out = scripted("not sure\n1 2? 3 4\n1 zz ?\n", "--questions", "3", "--json")
    told = [json.loads(line) for line in out.out.splitlines()]
    assert [row["unsure"] for row in told] == [[1, 2, 3, 4], [2], []]
    assert out.line.startswith("drumlin: answers.txt, line 3: character 3, 'zz': not a word of the count")


COUNTED_OTHERWISE = """format = 1
title = "Counted otherwise"
meter = "4/4"
figures = ["1 e & a", "1 & a"]
count = "e + e"
"""


def test_a_level_that_is_counted_otherwise(typed, tmp_path: Path) -> None:
    """It is told in its own words; these are read as well as those of the count, and what was understood is said."""
    (tmp_path / "own.toml").write_text(COUNTED_OTHERWISE, encoding="utf-8")
    first = typed("1 e + e 2 e + e 3 e + e 4 + e\n\nq\n", "--level", str(tmp_path / "own.toml"), "--questions", "1")
    assert "2 figures: 1 e + e; 1 + e" in first.out
    assert "Counted here: + for &, e for a." in first.out
    assert "Read as: 1 e & a 2 e & a 3 e & a 4 & a" in first.out
    bar = re.search(r"The bar was: (.*)", first.out)
    assert bar is not None
    assert ("+" in bar[1], "&" in bar[1]) == (True, False)
    assert re.search(r"you said \d e? ?\+ e, it was \d e? ?\+ e\.", first.out)
