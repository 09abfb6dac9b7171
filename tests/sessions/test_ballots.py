"""Hands as they are typed."""

from game.sessions.lesson.ballots import Ballot, Hands, Poll, merged
from tests.sessions.lessons import figure

ONE, TWO, THREE = figure("1"), figure("1 &"), figure("1 e &")


def typed(keys: str) -> Ballot:
    """A ballot after keys: A, B, C choose a figure, digits count."""
    ballot = Ballot()
    for key in keys:
        ballot = ballot.typed(int(key)) if key.isdigit() else ballot.choose({"A": ONE, "B": TWO, "C": THREE}[key])
    return ballot


def test_letters_and_numbers() -> None:
    """A 1 2, B 5: twelve and five hands."""
    assert typed("A12B5").hands == {ONE: 12, TWO: 5}


def test_a_letter_alone_is_what_most_chose() -> None:
    """The last letter pressed counts, once."""
    assert typed("AB").hands == {TWO: 1}
    assert not typed("AB").counted


def test_a_letter_without_a_number_beside_numbers_is_nobody() -> None:
    """Once hands are counted, a letter without a number has none."""
    assert typed("A12B").hands == {ONE: 12}


def test_nought_hands_are_nothing() -> None:
    """A typed 0 is not taken for the letter that most chose."""
    assert typed("A0").hands == {}


def test_no_more_than_ninety_nine() -> None:
    """A third digit is not taken."""
    assert typed("A123").hands == {ONE: 12}


def test_digits_before_any_letter_do_nothing() -> None:
    """A number belongs to a letter."""
    assert typed("7").hands == {}


def test_leaders() -> None:
    """The letter with most hands leads; a tie has no leader, nor has nothing."""
    assert typed("A3B5").leader == TWO
    assert typed("A4B4").leader is None
    assert Ballot().leader is None


def test_counted_teams_are_added() -> None:
    """Three and two hands, and four: A 3, B 6."""
    assert merged([typed("A3B2"), typed("B4"), Ballot()]) == {ONE: 3, TWO: 6}


def test_teams_counted_in_part_have_a_voice_each() -> None:
    """Twelve hands and a single letter: one voice for each team; a tied team has none."""
    assert merged([typed("A12"), typed("B"), typed("A2B2")]) == {ONE: 1, TWO: 1}


def test_nought_hands_leave_a_poll_open() -> None:
    """A letter with a 0 fills no poll; taken back twice, nothing is left of it."""
    hands = Hands([Poll(0, 0), Poll(2, 0)])
    hands.choose(ONE)
    hands.type_digit(0)
    assert hands.missing == hands.asked
    hands.take_back()
    assert hands.missing == (Poll(2, 0),)
    hands.take_back()
    assert hands.ballot == Ballot()
