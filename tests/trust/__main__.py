"""``python -m tests.trust [--kills N] [--times N]``: tries every fault and prints the table."""

import argparse
import tempfile
from pathlib import Path

from tests.trust.faults import FAULTS, HEAD, row, tried


def main() -> None:
    """Try every fault and print what was lost or kept twice."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust", description=__doc__)
    parser.add_argument("--kills", type=int, default=200, help="how often a session is killed (default 200)")
    parser.add_argument("--times", type=int, default=10, help="how often every other fault is tried (default 10)")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", choices=FAULTS, nargs="+")
    options = parser.parse_args()
    print(HEAD)
    wrong = 0
    for name in options.only or FAULTS:
        with tempfile.TemporaryDirectory() as scratch:
            tally = tried(name, options.kills if name == "killed" else options.times, Path(scratch), options.seed)
        print(row(tally), flush=True)
        wrong += tally.lost + tally.extra
    raise SystemExit(wrong > 0)


if __name__ == "__main__":
    main()
