"""The demo: invented, believable, apart from real records."""

from pathlib import Path
from random import Random

import pytest

from game.learning import Answer
from game.records import Records, Wanted
from game.records.folders import RECORDS_NAME
from game.sessions.exam.result import result_of
from game.sessions.home.demo import DAYS, demo_folder, fill, is_demo, open_demo
from game.sessions.home.demo_pupils import Pupil
from game.sessions.progress.hands import by_week, weeks_of
from game.sessions.progress.mixups import mix_ups
from game.sessions.progress.plan import StepKind, plan_for
from shared.levels import find_level
from tests.sessions.lessons import DAY, NOW, figure

LEVEL = find_level("stage-4")


@pytest.fixture(scope="module")
def records() -> Records:
    """The demo's records, in memory."""
    records = Records.in_memory()
    fill(records, NOW)
    return records


def right(answers: list[Answer]) -> float:
    """The share of right answers."""
    return sum(a.share for a in answers if a.said == a.heard) / sum(a.share for a in answers)


def test_everybody_is_marked_as_invented(records: Records) -> None:
    """Four pupils and a class, all with the word demo in their names."""
    assert [player.kind for player in records.players()].count("class") == 1
    assert len(records.players()) == 5
    assert all("(demo)" in player.name for player in records.players())


def test_answers_lie_in_the_past_three_months(records: Records) -> None:
    """Nothing from the future, nothing older than the demo says."""
    times = [answer.at for player in records.players() for answer in records.answers(player)]
    assert NOW - (DAYS + 1) * DAY < min(times) <= max(times) < NOW


def test_pupils_learn(records: Records) -> None:
    """The pupil who practises most is clearly better at the end than at the beginning."""
    answers = records.answers(records.find_player("Wren (demo)"))
    assert right(answers[-300:]) > right(answers[:300]) + 0.15


def test_mix_ups_are_those_of_like_figures(records: Records) -> None:
    """The most frequent mix-up is between figures that share a stroke off the beat or are one stroke apart."""
    first = mix_ups(LEVEL.figures, records.answers(records.find_player("Ash (demo)")))[0]
    assert len(set(first.heard.onsets) ^ set(first.said.onsets)) <= 2


def test_every_pupil_has_a_plan_and_an_exam(records: Records) -> None:
    """There is something to see on each page: pairs to set side by side, and a mark that the detail bears out."""
    for player in records.players("player"):
        assert StepKind.CONTRAST in {step.kind for step in plan_for(LEVEL, records.answers(player), NOW).steps}
        (exam,) = records.exams(player)
        assert exam.mark == result_of(exam.rules, exam.detail).mark


def test_the_class_answers_in_shares(records: Records) -> None:
    """The hands of each beat add up to the whole room."""
    (room,) = records.players("class")
    first = records.answers(room, Wanted(last=200))
    beats: dict[tuple[float, int], float] = {}
    for answer in first:
        beats[answer.at, answer.beat] = beats.get((answer.at, answer.beat), 0.0) + answer.share
    assert sorted(beats.values())[1:] == pytest.approx([1.0] * (len(beats) - 1))


def test_pupils_play_too(records: Records) -> None:
    """Each has played with hands behind the ears, late on the a, so that there is something to see."""
    for player in records.players("player"):
        played = records.answers(player, Wanted(ability="playing"))
        heard = records.answers(player, Wanted(ability="hearing", since=NOW - 31 * DAY))
        assert right(played) < right(heard)
        assert len(records.takes(player)) == len({answer.at for answer in played}) >= 50
        timing = by_week(records.timings(player, NOW - 60 * DAY))
        assert len(weeks_of(timing)) >= 4
        assert all(week.mean > 0 for week in weeks_of(timing, "a"))


def test_the_same_seed_invents_the_same() -> None:
    """A demo can be made again to the letter."""
    once, again = Records.in_memory(), Records.in_memory()
    fill(once, NOW, days=20)
    fill(again, NOW, days=20)
    for first, second in zip(once.players(), again.players(), strict=True):
        assert once.answers(first) == again.answers(second) != []


@pytest.mark.usefixtures("short_demo")
def test_the_demo_lies_apart(tmp_path: Path) -> None:
    """It has a folder of its own that says so, real records are not touched, and it is made only once."""
    with Records.open(tmp_path, NOW) as real:
        real.add_player("Wren", NOW)
        open_demo(tmp_path, NOW).close()
        assert [player.name for player in real.players()] == ["Wren"]
    assert is_demo(demo_folder(tmp_path))
    assert not is_demo(tmp_path)
    before = (demo_folder(tmp_path) / "DEMO.txt").stat().st_mtime_ns
    with open_demo(tmp_path, NOW + DAY) as again:
        assert len(again.players()) == 5
    assert (demo_folder(tmp_path) / "DEMO.txt").stat().st_mtime_ns == before
    # Its records were damaged: they are set aside, and the demo has its people again.
    (demo_folder(tmp_path) / RECORDS_NAME).write_bytes(b"Dear diary" * 2000)
    with open_demo(tmp_path, NOW + DAY) as anew:
        assert len(anew.players()) == 5
    assert not (tmp_path / "demo.part").exists()


def test_hearing_helps_and_nights_cost() -> None:
    """A pupil's chance rises with hearing and sinks overnight."""
    pupil, short = Pupil("Wren", start=-0.5, gain=0.1), figure("1 e &")
    before = pupil.chance(short)
    pupil.hear(short)
    heard = pupil.chance(short)
    pupil.sleep()
    assert before < pupil.chance(short) < heard


def test_a_pupil_says_what_sounds_alike() -> None:
    """Who knows nothing takes 1 & a for 1 e & a more often than for 1."""
    pupil, random = Pupil("Ash", start=-50, gain=0), Random(0)
    said = [pupil.say(figure("1 & a"), LEVEL.figures, random).count for _ in range(400)]
    assert said.count("1 e & a") > 3 * said.count("1")
    assert "1 & a" not in said
