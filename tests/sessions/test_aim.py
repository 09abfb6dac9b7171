"""The one next thing to do, and why."""

from dataclasses import replace

from game.sessions.home.aim import AimKind, next_aim
from game.sessions.progress.standing import HORIZONS, Standing
from game.wording import DAY_SECONDS as DAY
from game.wording import in_words
from shared.levels import Level, find_level, ladder_names

NOW = 1_700_000_000.0
LADDER = [find_level(name) for name in ladder_names()]
FIRST, SECOND, THIRD = LADDER[:3]


def standing(level: Level, *chances: float, heard: int = 9, later: float | None = None) -> Standing:
    """A standing with these chances for the first figures (.97 for the rest); ``later`` from four days on."""
    counts = tuple(figure.count for figure in level.figures)
    first = [*chances, *[0.97] * (len(counts) - len(chances))]
    rows = [tuple(first if days < 4 or later is None else [later] * len(counts)) for days in HORIZONS]
    return Standing(level.name, NOW, NOW, counts, (heard,) * len(counts), tuple(rows))


def aim(at_hand: Level, *standings: Standing, closed: tuple[str, ...] = (), days: float = 0.0):
    return next_aim(
        LADDER, at_hand, {one.level: one for one in standings}, dict.fromkeys(closed, NOW), NOW + days * DAY
    )


def test_who_heard_nothing_begins() -> None:
    """On a level of which nothing was heard all its figures are met, those that earlier levels bring too."""
    for level in (FIRST, SECOND):
        found = aim(level)
        assert (found.kind, found.level) == (AimKind.MEET, level.name)
        assert found.figures == tuple(figure.count for figure in level.figures)[:4]
        assert found.why.startswith(in_words(len(level.figures), "figure").capitalize())


def test_weak_figures_are_gone_on_with() -> None:
    """While a figure of the level at hand is not firm, that level goes on, the weakest figure first."""
    found = aim(SECOND, standing(SECOND, 0.8, 0.4))
    assert (found.kind, found.level) == (AimKind.GO_ON, SECOND.name)
    assert found.figures[0] == SECOND.figures[1].count
    assert found.why == "Two figures not firm yet."


def test_what_sank_comes_first() -> None:
    """Figures that sank are brought back before anything else, with the day since when."""
    found = aim(SECOND, standing(FIRST, later=0.5), standing(SECOND, 0.4), days=5)
    assert (found.kind, found.level) == (AimKind.BRING_BACK, FIRST.name)
    assert found.title == f"Back to {FIRST.title}"
    assert found.why.startswith("Not heard since ")
    assert found.why.endswith("one round brings three figures back, about three minutes.")


def test_what_sank_on_a_level_of_ones_own_has_its_name() -> None:
    """A level outside the ladder is led back to by its title; the ladder never leads on to it."""
    own = replace(FIRST, name="own", title="My own")
    standings = {"own": standing(own, later=0.5), SECOND.name: standing(SECOND)}
    found = next_aim([*LADDER, own], SECOND, standings, {}, NOW + 5 * DAY)
    assert (found.level, found.title) == ("own", "Back to My own")
    everything = {level.name: standing(level) for level in LADDER}
    assert next_aim([*LADDER, own], LADDER[-1], everything, {LADDER[-1].name: NOW}, NOW).kind is AimKind.ALL_HOLD


def test_what_sank_at_hand_needs_no_name() -> None:
    """The level at hand stands in large above the button already."""
    assert aim(FIRST, standing(FIRST, later=0.5), days=5).title == "Bring them back"


def test_a_level_that_holds_is_closed_and_then_left() -> None:
    """A level that holds is closed by a round; once that is passed, the next that does not hold is offered."""
    assert aim(FIRST, standing(FIRST)).kind is AimKind.CLOSE
    found = aim(FIRST, standing(FIRST), standing(SECOND), closed=(FIRST.name,))
    assert (found.kind, found.level) == (AimKind.NEXT, THIRD.name)


def test_a_next_level_that_was_begun_is_gone_on_with() -> None:
    """Its new figures are not called new once they were met: what has sunk there comes back, the rest goes on."""
    third = standing(THIRD, 0.8)
    found = aim(SECOND, standing(SECOND), third, closed=(SECOND.name,))
    assert (found.kind, found.level, found.title) == (AimKind.GO_ON, THIRD.name, f"Go on with {THIRD.title}")
    due = (NOW - 1, *[None] * (len(THIRD.figures) - 1))
    one_sunk = replace(standing(THIRD), at=NOW - 2, due=due)
    found = aim(SECOND, standing(SECOND), one_sunk, closed=(SECOND.name,))
    assert (found.kind, found.title) == (AimKind.BRING_BACK, f"Back to {THIRD.title}")
    assert found.figures == (THIRD.figures[0].count,)


def test_the_end_of_the_ladder_is_said() -> None:
    """Where everything holds, nothing has to be done."""
    everything = [standing(level) for level in LADDER]
    assert aim(LADDER[-1], *everything, closed=(LADDER[-1].name,)).kind is AimKind.ALL_HOLD
