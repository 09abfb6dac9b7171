"""Numbers as people read them, the same on pages, on paper and in the terminal."""


def counted(number: int, noun: str) -> str:
    """So many of something: 1 bar, 2 bars.  ``noun`` is one of them, and takes an s for more."""
    return f"1 {noun}" if number == 1 else f"{number} {noun}s"


def how_often(times: int) -> str:
    """A number of times in words: once, twice, 3 times."""
    return {1: "once", 2: "twice"}.get(times, f"{times} times")


SMALL_NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")


def number_word(number: int) -> str:
    """A small number as a word, a larger one in digits: no, one, ten, 11."""
    return SMALL_NUMBERS[number] if number < len(SMALL_NUMBERS) else str(number)


def in_words(number: int, noun: str) -> str:
    """So many of something, small numbers as words: one bar, three bars, no bars, 11 bars."""
    return f"{number_word(number)} {noun}" if number == 1 else f"{number_word(number)} {noun}s"
