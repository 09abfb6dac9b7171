"""``python -m tests.bench.learning``: the coach's benchmark, as tables and as a picture.

``--unseen`` adds the learners that the coach is never developed on: for a final run alone.
"""

import argparse
import time
from pathlib import Path

from tests.bench.learning import candidates, picture, table
from tests.bench.learning.suite import CHOOSERS, FIRST_NAMES, FURTHER_NAMES, UNSEEN_NAMES, USUAL, run_all


def main() -> None:
    """Run, print and draw."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.learning", description=__doc__)
    parser.add_argument("--seeds", type=int, default=100, help="seeds for each learner and kind (100)")
    parser.add_argument("--candidates", type=int, default=400, help="exam candidates of each kind of learner (400)")
    parser.add_argument("--tries", type=int, nargs="*", default=[1, 2], choices=[1, 2], help="with one try, or two")
    parser.add_argument("--choosers", nargs="*", default=list(USUAL), choices=list(CHOOSERS), help="who chooses bars")
    parser.add_argument("--unseen", action="store_true", help="the unseen learners as well: for a final run")
    parser.add_argument("--processes", type=int, default=2, help="processes to run in (2)")
    parser.add_argument("--picture", type=Path, help="write the picture to this .svg file")
    options = parser.parse_args()
    if lacking := sorted({"coach", "uniform", "item-adaptive"} - {*options.choosers}):
        parser.error(f"--choosers: name {' and '.join(lacking)} too; the tables set the others against them")
    began = time.monotonic()
    halves = {"first": FIRST_NAMES, "further": FURTHER_NAMES, "both": [*FIRST_NAMES, *FURTHER_NAMES]}
    if options.unseen:
        halves["unseen"] = UNSEEN_NAMES
    names = list(dict.fromkeys(name for half in halves.values() for name in half))
    results = (
        run_all(range(options.seeds), names, options.choosers, options.tries, options.processes)
        if options.seeds
        else {}
    )
    for line in table.lines(results, halves):
        print(line)
    people: dict[str, list[candidates.Candidate]] = {}
    if options.candidates:
        print("\n## Forecasts")
        for half, kinds in {"standing still": list(candidates.STANDSTILLS), **halves}.items():
            if half not in ("first", "further"):
                people[half] = candidates.candidates(kinds, options.candidates, options.processes)
                print("\n".join(candidates.lines(half, people[half])))
    print(f"\n{options.seeds} seeds, {time.monotonic() - began:.0f} s")
    if options.picture:
        options.picture.write_text(picture.svg(results, halves, people), encoding="utf-8")


if __name__ == "__main__":
    main()
