"""``python -m tests.trust [--kills N] [--times N]``: tries every fault and prints the table."""

import argparse
import tempfile
from pathlib import Path

from tests.trust.faults import FAULTS, table, tried


def main() -> None:
    """Try every fault and print what was lost."""
    parser = argparse.ArgumentParser(prog="python -m tests.trust", description=__doc__)
    parser.add_argument("--kills", type=int, default=200, help="how often a session is killed (default 200)")
    parser.add_argument("--times", type=int, default=10, help="how often every other fault is tried (default 10)")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--only", choices=FAULTS)
    options = parser.parse_args()
    tallies = []
    for name in [options.only] if options.only else FAULTS:
        with tempfile.TemporaryDirectory() as scratch:
            times = options.kills if name == "killed" else options.times
            tallies.append(tried(name, times, Path(scratch), options.seed))
    print(table(tallies))
    raise SystemExit(any(tally.lost for tally in tallies))


if __name__ == "__main__":
    main()
