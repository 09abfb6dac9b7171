"""What is known of a player: the answers as they were given, one row for each asked beat."""

from dataclasses import dataclass


@dataclass(frozen=True)
class Answer:
    """One asked beat and what was said to it: a row of the append-only log.

    ``at`` is in seconds since the epoch; ``level`` a level's name; ``meter`` like "4/4"; ``bar`` the whole
    bar's count and ``beat`` the place in it, from 0.  ``heard`` and ``said`` are figures counted on beat 1;
    ``said`` is None where the beat was skipped.  ``seconds`` is the response time, where it is known;
    ``tempo`` is in beats a minute.  ``kind`` is "practice", "exam", "class" or "listen", and ``share`` the
    part of a class, from 0 to 1, that said so.
    """

    at: float
    level: str
    meter: str
    bar: str
    beat: int
    heard: str
    said: str | None
    seconds: float | None
    orchestration: str
    tempo: float
    hearings: int = 1
    kind: str = "practice"
    share: float = 1.0
