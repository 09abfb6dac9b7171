"""``python -m tests.bench.learning``: the coach's benchmark, as tables and as a picture."""

import argparse
import time
from pathlib import Path

from tests.bench.learning import candidates, picture, table
from tests.bench.learning.learners import TUNED, UNSEEN
from tests.bench.learning.suite import CHOOSERS, run_all

TUNED_NAMES = [learner.name for learner in TUNED]


def main() -> None:
    """Run, print and draw."""
    parser = argparse.ArgumentParser(prog="python -m tests.bench.learning", description=__doc__)
    parser.add_argument("--seeds", type=int, default=100, help="seeds for each learner and kind (100)")
    parser.add_argument(
        "--candidates",
        type=int,
        default=200,
        help="exam candidates of each learner (200), and as many of the unseen one as of all others",
    )
    parser.add_argument("--processes", type=int, default=2, help="processes to run in (2)")
    parser.add_argument("--picture", type=Path, help="write the picture to this .svg file")
    options = parser.parse_args()
    began = time.monotonic()
    results = run_all(options.seeds, [*TUNED_NAMES, UNSEEN.name], list(CHOOSERS), options.processes)
    for line in table.lines(results, TUNED_NAMES, [UNSEEN.name]):
        print(line)
    known = candidates.candidates(TUNED_NAMES, options.candidates, options.processes)
    unseen = candidates.candidates([UNSEEN.name], options.candidates * len(TUNED_NAMES), options.processes)
    print("\nForecasts")
    for title, people in (("the learners tuned on, unseen seeds", known), (f"{UNSEEN.name}, never tuned on", unseen)):
        print("\n".join(candidates.lines(title, people)))
    print(f"\n{options.seeds} seeds, {time.monotonic() - began:.0f} s")
    if options.picture:
        options.picture.write_text(picture.svg(results, TUNED_NAMES, known + unseen), encoding="utf-8")


if __name__ == "__main__":
    main()
