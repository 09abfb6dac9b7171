"""Keeps a day's plans: the plan as it stood when its first step was begun, and when each step was done.

A plan follows from the answers, and changes with each: a day goes on with the plan that it began with.  That a step
was done is a fact of its own, which no answers of an ordinary round bring about.

What is kept is what JSON can hold: by day (its date) and level, ``done`` has the time of each step that was done
(seconds since the epoch) by its key, and ``plans`` the steps by the minutes of the plan.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from game.sessions.progress.plan import Plan, PlanStep, StepKind
from game.wording import local_day
from shared.figures import Figure
from shared.levels import Level

Kept = dict[str, Any]


@dataclass(frozen=True)
class PlanDay:
    """A day with a level's plans.  ``now`` is any time of the day, ``kept`` what the records hold of all days."""

    level: Level
    now: float
    kept: Mapping[str, Any] = field(default_factory=dict)

    @property
    def done(self) -> dict[str, float]:
        """When each step of this day was done, by its key."""
        found = self._today().get("done")
        return dict(found) if isinstance(found, dict) else {}

    @property
    def minutes(self) -> str:
        """How many minutes the plan has of which a step was begun last today; "" where none was."""
        return next(reversed(_dict(self._today().get("plans"))), "")

    def plan(self, minutes: int) -> Plan | None:
        """The plan of so many minutes that this day began with; None where none was, or it can't be read."""
        try:
            steps = [_step(self.level, told) for told in self._today()["plans"][str(minutes)]]
        except (KeyError, TypeError, ValueError):
            return None
        return Plan(self.level, tuple(steps)) if steps else None

    def begun(self, minutes: int, plan: Plan) -> Kept:
        """The value to keep once a step of a plan was begun: of other days only what was done stays."""
        today = self._today()
        # Taken out and put in again at the end, so that the last plan of the dictionary is the one begun last.
        plans = {many: steps for many, steps in _dict(today.get("plans")).items() if many != str(minutes)}
        plans[str(minutes)] = [_told(step) for step in plan.steps]
        others = {
            day: levels if day == self._date else {name: {"done": _dict(_dict(kept).get("done"))}
                                                   for name, kept in _dict(levels).items()}
            for day, levels in self.kept.items()
        }  # fmt: skip
        return self._with_today(others, {"done": self.done, "plans": plans})

    def finished(self, step: PlanStep, at: float) -> Kept:
        """The value to keep once a step of this day was done, ``at`` a time that may lie after its midnight."""
        today = {**self._today(), "done": {**self.done, step.key: at}}
        return self._with_today(dict(self.kept), today)

    @property
    def _date(self) -> str:
        return local_day(self.now).isoformat()

    def _today(self) -> Kept:
        return _dict(_dict(self.kept.get(self._date)).get(self.level.name))

    def _with_today(self, days: Kept, today: Kept) -> Kept:
        levels = _dict(self.kept.get(self._date))
        return {**days, self._date: {**levels, self.level.name: today}}


def _dict(found: Any) -> Kept:
    """A kept value if it is a table, else an empty one: records may be damaged, and a plan is no reason to stop."""
    return found if isinstance(found, dict) else {}


def _told(step: PlanStep) -> Kept:
    return {
        "kind": step.kind.value, "figures": [figure.count for figure in step.figures], "why": step.why,
        "minutes": step.minutes, "orchestration": step.orchestration, "tempo": step.tempo,
    }  # fmt: skip


def _step(level: Level, told: Mapping[str, Any]) -> PlanStep:
    """The step that was kept so.  Raises ``KeyError``, ``TypeError`` or ``ValueError`` for one of another level."""
    figures: dict[str, Figure] = {figure.count: figure for figure in level.figures}
    kind, orchestration, tempo = StepKind(told["kind"]), str(told["orchestration"]), float(told["tempo"])
    # A teacher may have changed the level since this morning: then today's plan is made anew.
    fits = orchestration in level.orchestrations and level.tempo.low <= tempo <= level.tempo.high
    if kind is not StepKind.BREAK and not (fits and told["figures"]):
        raise ValueError("not a step of this level, as it is now")
    chosen = tuple(figures[count] for count in told["figures"])
    return PlanStep(kind, chosen, str(told["why"]), int(told["minutes"]), orchestration, tempo)
