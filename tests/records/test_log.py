"""The append-only log of answers."""

from dataclasses import fields, replace
from pathlib import Path

import pytest

from game.learning.evidence import Answer
from game.records import Player, Records, RecordsError, Wanted, new_uuid
from tests.records.record_samples import ANSWER, DAY, NOW, bar, how_it_came_about, uuid


def test_answers_come_back_as_given(records: Records, wren: Player) -> None:
    """Every field of every answer is read as it was written, to the last digit."""
    given = bar(at=NOW + 0.1, tempo=66.6, hearings=3, kind="exam")
    assert records.append(wren, uuid(1), given) == 4
    assert records.answers(wren) == given


def test_a_read_answer_is_whole(records: Records, wren: Player) -> None:
    """A read answer has each field that ``Answer`` has, and no other."""
    records.append(wren, uuid(1), [ANSWER])
    assert vars(records.answers(wren)[0]).keys() == {field.name for field in fields(Answer)}


def test_a_question_counts_once(records: Records, wren: Player) -> None:
    """The same question appended again adds nothing and changes nothing."""
    records.append(wren, uuid(1), bar())
    assert records.append(wren, uuid(1), bar(at=NOW + 9)) == 0
    assert records.answers(wren) == bar()


def test_a_second_try_is_kept_beside_the_first(records: Records, wren: Player) -> None:
    """Both tries at a bar stay, each with its own time, and each counts once."""
    first, second = bar(), [replace(answer, attempt=2) for answer in bar(at=NOW + 9)[1:3]]
    for _ in range(2):
        records.append(wren, uuid(1), first)
        records.append(wren, uuid(1), second)
    assert records.answers(wren) == first + second


def test_how_an_answer_came_about_is_kept(records: Records, wren: Player) -> None:
    """Choices, figures met, changes, hearings of one beat, reason and probability come back as given."""
    given = how_it_came_about()
    records.append(wren, uuid(1), given)
    assert records.answers(wren) == given
    usual = ANSWER
    alike = [name for name in vars(usual) if all(getattr(answer, name) == getattr(usual, name) for answer in given)]
    assert " ".join(alike) == "at level meter bar seconds orchestration tempo kind share attempt"


def test_a_class_answers_in_shares(records: Records, wren: Player) -> None:
    """Several things said to one beat are all kept, each with its share."""
    shares = [replace(ANSWER, said=said, share=share, kind="class") for said, share in (("1 e a", 0.75), (None, 0.25))]
    records.append(wren, uuid(1), shares)
    assert records.answers(wren) == shares


def test_answers_are_oldest_first(records: Records, wren: Player) -> None:
    """The order is that of time, even where a clock jumped back."""
    for number, at in enumerate((NOW, NOW - DAY, NOW + DAY)):
        records.append(wren, uuid(number), bar(at=at))
    assert records.answers(wren) == bar(at=NOW - DAY) + bar() + bar(at=NOW + DAY)


def test_answers_at_one_time_keep_their_order(records: Records, wren: Player) -> None:
    """Where the clock stood still, the order is that in which they were given."""
    for number in (3, 1, 2):
        records.append(wren, uuid(number), [replace(ANSWER, level=f"stage-{number}")])
    assert [answer.level for answer in records.answers(wren)] == ["stage-3", "stage-1", "stage-2"]


def test_answers_to_some_figures(records: Records, wren: Player) -> None:
    """Only those to the figures asked for, and of them the last so many."""
    for number in range(3):
        records.append(wren, uuid(number), bar(at=NOW + number))
    found = records.answers(wren, Wanted(heard=["1 e a", "1 & a"], last=4))
    assert [(answer.at - NOW, answer.heard) for answer in found] == [
        (1, "1 & a"), (2, "1 e a"), (2, "1 e a"), (2, "1 & a")
    ]  # fmt: skip
    assert records.answers(wren, Wanted(heard=["1 trip let"])) == []


def test_answers_can_be_narrowed(records: Records, wren: Player) -> None:
    """By level, from a time on, the last so many, or all three."""
    for number in range(6):
        records.append(wren, uuid(number), bar(at=NOW + number, level=f"stage-{number % 2}"))
    assert records.answers(wren, Wanted(level="stage-1")) == [
        answer for number in (1, 3, 5) for answer in bar(NOW + number, level="stage-1")
    ]
    assert records.answers(wren, Wanted(since=NOW + 5)) == bar(NOW + 5, level="stage-1")
    assert records.answers(wren, Wanted(last=5)) == bar(NOW + 4, level="stage-0")[3:] + bar(NOW + 5, level="stage-1")
    assert records.answers(wren, Wanted(level="stage-0", since=NOW + 1, last=1)) == bar(NOW + 4, level="stage-0")[3:]
    assert records.count_answers(wren) == 24


def test_players_do_not_mix(records: Records, wren: Player) -> None:
    """Each player has only its own answers; two may even share a question's UUID."""
    ash = records.add_player("Ash", NOW)
    records.append(wren, uuid(1), bar())
    records.append(ash, uuid(1), bar(at=NOW + 1))
    assert records.answers(wren) == bar()
    assert records.answers(ash) == bar(at=NOW + 1)


def test_answers_of_two_bars_are_refused(records: Records, wren: Player) -> None:
    """Answers that can't belong to one question are the caller's mistake, and none is kept."""
    with pytest.raises(ValueError, match="more than one question"):
        records.append(wren, uuid(1), [ANSWER, replace(ANSWER, bar="1 2 3 4")])
    assert records.answers(wren) == []


def test_a_bar_is_kept_whole_or_not(records: Records, wren: Player) -> None:
    """When the last answer of a bar can't be kept, the first is not kept either."""
    spoilt = [*bar()[:3], replace(bar()[3], heard=None)]  # type: ignore[arg-type]
    with pytest.raises(RecordsError, match=r"records\.sqlite refused this: NOT NULL constraint failed: answer\.heard"):
        records.append(wren, uuid(1), spoilt)
    assert records.answers(wren) == []
    assert records.append(wren, uuid(1), bar()) == 4


@pytest.mark.parametrize("at", [-1.0, 1e12, float("nan")])
def test_times_that_cannot_be_are_refused(records: Records, wren: Player, at: float) -> None:
    """Where this machine's clock is far off nothing enters that could not be brought in elsewhere."""
    with pytest.raises(RecordsError, match="use a time in seconds since 1970; set the clock of this machine"):
        records.append(wren, uuid(1), bar(at=at))
    assert records.answers(wren) == []


def test_no_answers_are_no_fault(records: Records, wren: Player) -> None:
    """A bar with nothing asked adds nothing."""
    assert records.append(wren, uuid(1), []) == 0


def test_answers_outlive_the_program(folder: Path) -> None:
    """What was appended is there when the file is opened again."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        records.append(wren, new_uuid(), bar())
    with Records.open(folder, NOW) as records:
        assert records.answers(records.find_player("wren")) == bar()


def test_two_windows_share_the_records(folder: Path) -> None:
    """What one window keeps the other can read at once, and both can write."""
    with Records.open(folder, NOW) as one, Records.open(folder, NOW) as other:
        wren = one.add_player("Wren", NOW)
        one.append(wren, uuid(1), bar())
        other.append(wren, uuid(2), bar(at=NOW + 1))
        assert one.answers(wren) == other.answers(wren) == bar() + bar(at=NOW + 1)


def test_new_uuids_differ() -> None:
    """A thousand fresh UUIDs are a thousand."""
    assert len({new_uuid() for _ in range(1000)}) == 1000


def test_what_is_known_comes_in_parts(records: Records, wren: Player, monkeypatch: pytest.MonkeyPatch) -> None:
    """Read part by part, the answers by ear to some figures are those of the whole log, in the same order."""
    monkeypatch.setattr("game.records.log.PART", 7)
    for number in range(30):
        ability = "reading" if number % 5 == 4 else "hearing"
        records.append(wren, uuid(number), bar(at=NOW + 60 * (number % 11), ability=ability, hearings=1 + number))
    figures = ("1 e a", "1 & a")
    parts = list(records.known(wren, figures, NOW + 300))
    whole = records.answers(wren, Wanted(heard=figures, ability="hearing"))
    assert len(parts) == 4
    assert [row for part in parts for row in part] == [replace(row, at=min(row.at, NOW + 300)) for row in whole]
