"""Numbers in words."""

from game.wording import counted, how_often


def test_one_has_no_s():
    """Only one of something stands alone; none of it takes the same form as many."""
    assert [counted(number, "new round") for number in (0, 1, 2)] == ["0 new rounds", "1 new round", "2 new rounds"]


def test_once_and_twice():
    """Once and twice are words, more are numbers."""
    assert [how_often(times) for times in (1, 2, 3)] == ["once", "twice", "3 times"]
