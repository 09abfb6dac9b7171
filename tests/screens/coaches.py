"""Coaches that tests share: one that has lived through a log once is taken again wherever that log is lived through."""

from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from copy import deepcopy
from functools import wraps
from typing import Any

import pytest

from game.learning.coach import Coach
from game.learning.evidence import Answer

_lived: dict[tuple[object, ...], dict[str, Any]] = {}
"""What each coach came to, by its level, seed, beginning and log; no test changes what lies here."""


@contextmanager
def shared_coaches() -> Iterator[None]:
    """Let each log be lived through once for all tests; it takes half a second where it is some weeks long."""
    live = Coach.living_through

    @wraps(live)
    def remembered(coach: Coach, parts: Iterable[Sequence[Answer]]) -> Iterator[None]:
        log = [tuple(part) for part in parts]
        key = (coach.level, coach.seed, coach.begin, *log)
        if key not in _lived:
            yield from live(coach, log)
            _lived[key] = _copied(coach)
        yield
        vars(coach).update(_copied(coach, _lived[key]))

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Coach, "living_through", remembered)
        yield


def _copied(coach: Coach, state: dict[str, Any] | None = None) -> dict[str, Any]:
    return deepcopy(vars(coach) if state is None else state, {id(coach.level): coach.level})
