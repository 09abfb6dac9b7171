"""What was drawn is kept by its pixels, and the least used goes first."""

from pygame import Surface

from game.engraving.shelf import Shelf, shelved


def test_the_least_used_goes_first() -> None:
    """With room for three, what was looked at stays and what was not goes."""
    shelf: Shelf[str] = Shelf(30)
    for name in "abc":
        shelf.keep(name, name, 10)
    assert shelf.get("a") == "a"
    shelf.keep("d", "d", 10)
    assert [shelf.get(name) for name in "abcd"] == ["a", None, "c", "d"]


def test_a_large_picture_displaces_many_small_ones() -> None:
    """Pixels count, not pictures; one that is larger than the shelf is kept alone."""
    shelf: Shelf[int] = Shelf(100)
    for number in range(50):
        shelf.keep(number, number, 2)
    shelf.keep("large", -1, 90)
    assert sum(pixels for _, pixels in shelf.kept.values()) == 100
    shelf.keep("huge", -2, 1000)
    assert list(shelf.kept) == ["huge"]


def test_a_cleared_shelf_has_all_its_room() -> None:
    """After clearing, as many pixels fit as at first."""
    shelf: Shelf[int] = Shelf(10)
    shelf.keep("one", 1, 10)
    shelf.clear()
    assert shelf.get("one") is None
    shelf.keep("one", 1, 5)
    shelf.keep("two", 2, 5)
    assert list(shelf.kept) == ["one", "two"]


def test_what_was_drawn_is_not_drawn_again() -> None:
    """The same arguments give the same surface, others another; its pixels stay within bounds."""
    asked: list[tuple[int, int]] = []

    @shelved(pixels=100)
    def page(wide: int, high: int) -> Surface:
        asked.append((wide, high))
        return Surface((wide, high))

    first = page(5, 10)
    assert page(5, 10) is first
    assert page(10, 5) is not first
    page(10, 10)
    assert page(5, 10) is not first
    assert asked == [(5, 10), (10, 5), (10, 10), (5, 10)]
    assert sum(surface.get_width() * surface.get_height() for surface, _ in page.shelf.kept.values()) <= 100
