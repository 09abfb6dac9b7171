"""A player's own keys: no key for two things."""

import pytest

from game.sessions.settings.bindings import ACTS, TILE_KEYS, USUAL, Bindings, TakenKeyError


def test_usual_keys_are_all_different() -> None:
    """Tiles and acts can be reached together."""
    assert len(set(USUAL.values())) == len(USUAL) == len(ACTS) + 24


def test_own_key_replaces_the_usual_one() -> None:
    """Only what differs is kept, and the usual key again leaves nothing."""
    own = Bindings({}).changed("tile 3", "x")
    assert own == {"tile 3": "x"}
    assert Bindings(own).tiles == ("1", "2", "x", *TILE_KEYS[3:])
    assert Bindings(own).changed("tile 3", "3") == {}


def test_taken_key_is_refused_with_its_owner() -> None:
    """The line names what the key does now."""
    with pytest.raises(TakenKeyError, match="“Tile 4”"):
        Bindings({}).changed("hear", "4")


def test_freed_key_can_be_had() -> None:
    """Once Space is free, a tile may have it."""
    own = Bindings({"hear": "v"}).changed("tile 1", "space")
    assert Bindings(own).key("tile 1") == "space"


@pytest.mark.parametrize("key", ["escape", "return", "tab", "left"])
def test_keys_of_every_page_stay(key: str) -> None:
    """Enter, Esc, Tab and the arrows can't be given away."""
    with pytest.raises(TakenKeyError, match="every page"):
        Bindings({}).changed("beat", key)


@pytest.mark.parametrize("own", [{"hear": "1"}, {"beat": "escape"}, {"tile 1": "x", "tile 2": "x"}])
def test_kept_keys_that_clash_fall_back(own: dict[str, str]) -> None:
    """A record changed by hand never leaves an act without a key."""
    assert Bindings.kept(own).own == {}


def test_unknown_acts_are_passed_over() -> None:
    """Keys of a later version do no harm."""
    assert Bindings.kept({"juggle": "x", "beat": "v"}).own == {"beat": "v"}


def test_without_own_keys_all_are_usual() -> None:
    """A player who changed nothing has the usual key for every act."""
    assert {act: Bindings.kept({}).key(act) for act in USUAL} == USUAL
