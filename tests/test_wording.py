"""Numbers in words."""

from game.wording import counted, how_often, in_words


def test_one_has_no_s():
    """Only one of something stands alone; none of it takes the same form as many."""
    assert [counted(number, "new round") for number in (0, 1, 2)] == ["0 new rounds", "1 new round", "2 new rounds"]


def test_once_and_twice():
    """Once and twice are words, more are numbers."""
    assert [how_often(times) for times in (1, 2, 3)] == ["once", "twice", "3 times"]


def test_small_numbers_are_words():
    """From no to ten a number stands in words, beyond in digits; only one has no s."""
    assert [in_words(number, "bar") for number in (0, 1, 2, 11)] == ["no bars", "one bar", "two bars", "11 bars"]
