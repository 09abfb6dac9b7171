"""What a player opens from the first page, and what stands first there."""

import json

from game.sessions.home.habits import HALF_LIFE, USED, in_order, main_way, opened, taught

NOW = 1_700_000_000.0
NAMES = ("figures", "playing", "plan", "class", "settings")


def after(*names: str, kept: dict[str, object] | None = None, now: float = NOW) -> dict[str, object]:
    """What is kept after these were opened, one after the other."""
    found: dict[str, object] = dict(kept or {})
    for name in names:
        found = dict(opened(found, name, now))
    return found


def test_at_the_start_the_order_is_the_given_one() -> None:
    """Nothing opened: as given; and one look somewhere moves nothing to the front."""
    assert in_order(NAMES, {}, NOW, 3) == list(NAMES)
    assert in_order(NAMES, after("settings"), NOW, 3) == ["figures", "playing", "plan", "settings", "class"]


def test_what_is_opened_again_comes_to_the_front() -> None:
    """Two openings bring a way before those that were never opened, most openings first."""
    kept = after("class", "class", "plan")
    assert in_order(NAMES, kept, NOW, 3) == ["plan", "class", "figures", "playing", "settings"]
    assert in_order(NAMES, after("class", "class", kept=kept), NOW, 3)[0] == "class"


def test_the_class_becomes_the_main_way_by_a_lesson() -> None:
    """Not by two looks at it; and practice takes its place back by being opened, or after a month without a lesson."""
    assert main_way({}, NOW) == main_way(after("class", "class"), NOW) == "practice"
    taught = opened(opened(after("class"), "class", NOW, USED), "paper", NOW, USED)
    assert main_way(taught, NOW) == "class"
    assert in_order(NAMES, taught, NOW, 3)[0] == "class"
    assert main_way(after("practice", kept=dict(taught)), NOW) == "practice"
    assert main_way(taught, NOW + 2 * HALF_LIFE) == "practice"


def test_the_class_stands_in_front_for_whoever_sits_where_it_is_taught() -> None:
    """For a pupil who was just added too, until weeks went by without a lesson; practice stays their main way in."""
    rooms = [opened({}, "class", NOW, USED), {}]
    assert in_order(NAMES, taught({}, rooms, NOW), NOW, 3)[0] == "class"
    assert in_order(NAMES, taught({}, rooms, NOW), NOW + HALF_LIFE, 3)[:3] == ["figures", "playing", "plan"]
    assert taught(after("class", "class", "class"), rooms, NOW)["class"] == [3.0, NOW]
    assert in_order(NAMES, taught({}, [], NOW), NOW, 3) == list(NAMES)


def test_openings_fade() -> None:
    """After a half-life an opening counts half, whether something else was opened meanwhile or not."""
    kept = after(*["class"] * 4)
    later = NOW + HALF_LIFE
    assert in_order(NAMES, kept, later, 3)[0] == "class"
    assert in_order(NAMES, kept, later + HALF_LIFE, 3)[0] == "figures"
    assert after("plan", kept=kept, now=later)["class"] == [2.0, later]


def test_damaged_or_strange_keeping_is_nothing() -> None:
    """Whatever stands there, every name comes out once; and what is kept can be kept as JSON."""
    strange: dict[str, object] = {"class": "x", "plan": [1], "figures": [float("nan"), 0], "gone": [5, NOW]}
    assert in_order(NAMES, strange, NOW, 3) == list(NAMES)
    assert sorted(in_order(NAMES, after("class", "plan"), NOW - HALF_LIFE, 3)) == sorted(NAMES)
    assert json.loads(json.dumps(after("class", kept=strange), allow_nan=False))["class"] == [1.0, NOW]
