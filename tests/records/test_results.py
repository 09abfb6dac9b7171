"""Rounds and mock exams."""

from dataclasses import replace
from pathlib import Path

from game.records import Player, Records
from tests.records.record_samples import NOW, a_round, uuid

RULES = {"questions": 20, "hearings": 2, "pass_mark": 0.65}


def test_a_round_comes_back_as_kept(records: Records, wren: Player) -> None:
    """Every figure of a round is kept."""
    records.save_round(wren, a_round())
    assert records.rounds(wren) == [a_round()]


def test_a_round_counts_once(records: Records, wren: Player) -> None:
    """A round under the same UUID is not kept twice."""
    for _ in range(2):
        records.save_round(wren, a_round(), uuid(1))
    assert len(records.rounds(wren)) == 1


def test_the_best_is_the_highest_score(records: Records, wren: Player) -> None:
    """The personal best is of this player and this level; of equals, the first."""
    for score, finished in ((640, NOW + 1), (700, NOW + 3), (700, NOW + 2)):
        records.save_round(wren, a_round(score, finished=finished))
    records.save_round(wren, a_round(900, level="stage-4"))
    records.save_round(records.add_player("Ash", NOW), a_round(800))
    assert records.best(wren, "stage-3") == a_round(700, finished=NOW + 2)
    assert records.best(wren, "stage-8") is None


def test_bests_compare_like_with_like(records: Records, wren: Player) -> None:
    """Against a round, only those count that were scored alike, asked as many beats and allowed as many tries."""
    for score, changes in ((950, {"rule": 2}), (900, {"tries": 2}), (800, {"beats": 20}), (700, {})):
        records.save_round(wren, a_round(score, **changes))
    assert records.best(wren, "stage-3") == a_round(950, rule=2)
    assert records.best(wren, "stage-3", like=a_round(rule=2)) == a_round(950, rule=2)
    assert records.best(wren, "stage-3", like=a_round()) == a_round(700)
    assert records.best(wren, "stage-3", like=a_round(beats=20)) == a_round(800, beats=20)
    assert records.best(wren, "stage-3", like=a_round(beats=10)) is None


def test_an_exam_keeps_its_days_forecast(records: Records, wren: Player) -> None:
    """What was forecast when it was sat stays with it, whatever is answered later."""
    exam = records.start_exam(wren, "stage-3", RULES, NOW)
    done = records.finish_exam(wren, exam, 0.8, [], NOW + 9, forecast={"probability": 0.9, "low": 0.7, "high": 1.0})
    assert records.exams(wren) == [done]
    assert records.exams(wren)[0].forecast == {"probability": 0.9, "low": 0.7, "high": 1.0}


def test_rounds_are_oldest_first(records: Records, wren: Player) -> None:
    """Rounds come in the order of time, all, of one level, or only the last."""
    later = a_round(finished=NOW + 900, level="stage-4")
    records.save_round(wren, later)
    records.save_round(wren, a_round())
    assert records.rounds(wren) == [a_round(), later]
    assert records.rounds(wren, level="stage-3") == [a_round()]
    assert records.rounds(wren, last=1) == [later]


def test_an_exam_is_kept_from_its_start(records: Records, wren: Player) -> None:
    """A running exam is in the records with its rules."""
    exam = records.start_exam(wren, "stage-3", RULES, NOW)
    assert records.exams(wren) == [exam]
    assert (exam.state, exam.rules, exam.mark) == ("running", RULES, None)


def test_a_finished_exam_has_its_mark(records: Records, wren: Player) -> None:
    """Mark and detail are kept, and nothing later takes them away."""
    exam = records.start_exam(wren, "stage-3", RULES, NOW)
    done = records.finish_exam(wren, exam, 0.8, [{"beat": 0, "right": True}], NOW + 600)
    records.interrupt_exam(wren, exam, NOW + 700)
    assert records.exams(wren) == [done]
    assert (done.state, done.mark, done.finished) == ("finished", 0.8, NOW + 600)


def test_a_broken_off_exam_stays_interrupted(records: Records, wren: Player) -> None:
    """An exam that was left is kept as interrupted."""
    broken = records.interrupt_exam(wren, records.start_exam(wren, "stage-3", RULES, NOW), NOW + 60)
    assert records.exams(wren, "stage-3") == [broken]
    assert records.exams(wren, "stage-4") == []


def test_an_exam_that_died_is_interrupted(folder: Path) -> None:
    """An exam that was running when the program died counts as interrupted at the next start."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        exam = records.start_exam(wren, "stage-3", RULES, NOW)
        records.save_exam(wren, replace(exam, detail=["1 e a"]))
    with Records.open(folder, NOW) as records:
        assert records.exams(wren) == [replace(exam, state="interrupted", detail=["1 e a"])]
