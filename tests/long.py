"""The long runs: everything that the suite only samples.

``python -m tests.long [NAME ...] [--tenth] [--seed N]`` runs all of them, or those named, and prints for each its name,
its time and what came of it; the exit code is 1 where one failed.  With ``--tenth`` each does a tenth of its work,
drawn by the seed; what a tenth cannot tell, such as a share of few mutants or a mean of few learners, is left out.
"""

import argparse
import os
import subprocess
import sys
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]


@dataclass(frozen=True)
class Run:
    """A long run: what it does, and the words after ``python -m`` for its work divided by a number and for a seed."""

    name: str
    what: str
    words: Callable[[int, int], list[str]]
    whole: bool = False
    """Whether only the whole of it tells anything: a tenth of the long runs goes without it."""


def _cases(part: int, seed: int) -> list[str]:
    return ["pytest", "-n", "auto", "-m", "long", *(["--tenth", str(seed)] if part > 1 else [])]


def _trust(part: int, seed: int) -> list[str]:
    return ["tests.trust", "--kills", str(200 // part), "--times", str(10 // part), "--seed", str(seed)]


def _mutants(package: str) -> Run:
    def words(part: int, seed: int) -> list[str]:
        return ["tests.trust.mutants", package, "--mutants", str(60 // part), "--seed", str(seed)]

    name, what = f"mutants-{package.rpartition('/')[2]}", f"small faults put into {package}, one at a time"
    return Run(name, what, words, whole=True)


def _examples(part: int, seed: int) -> list[str]:
    profile = "long" if part == 1 else "tenth"
    choice = ["-m", "hypothesis and not bench", "--hypothesis-profile", profile, "--hypothesis-seed", str(seed)]
    return ["pytest", "-n", "auto", *choice]


RUNS = (
    Run("cases", "the test cases that the suite leaves out", _cases),
    Run("examples", "twenty times the examples in the tests of any input", _examples),
    Run("trust", "kills, full disks and damaged records", _trust),
    Run("kills", "import, backup, restore, level, sheet and takes, each killed at random moments",
        lambda part, seed: ["tests.trust.kills", "--kills", str(50 // part), "--seed", str(seed)]),
    Run("walk", "random events through the loop",
        lambda part, seed: ["tests.trust.monkey", str(100_000 // part), str(seed)]),
    *map(_mutants, ("shared", "game/learning", "game/sessions", "game/records")),
    Run("learning", "the coach against other ways of choosing bars",
        lambda part, _seed: ["tests.bench.learning", "--seeds", str(100 // part), "--candidates", str(400 // part)],
        whole=True),
    Run("kits", "the kits against recorded sets, from two packages of Debian",
        lambda _part, _seed: ["tests.trade.kit_measure"], whole=True),
    Run("build", "the program built for those without Python, and what people do with it",
        lambda _part, _seed: ["tests.trust.build"], whole=True),
    Run("versions", "built, installed and started on every Python that is here",
        lambda _part, _seed: ["tests.trust.versions"], whole=True),
)  # fmt: skip
"""Every long run.  A new one is added here."""


def chosen(names: list[str], tenth: bool) -> list[Run]:
    """The runs of these names, or all; a tenth goes without those of which only the whole tells anything."""
    return [run for run in RUNS if (run.name in names or not names) and not (tenth and run.whole)]


def carried_out(run: Run, part: int, seed: int) -> bool:
    """Carry out a run and print what came of it, and all that it said where it failed."""
    began = time.monotonic()
    ended = subprocess.run(
        [sys.executable, "-m", *run.words(part, seed)],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True, check=False,
    )  # fmt: skip
    failed = ended.returncode != 0
    *above, last = ended.stdout.strip().splitlines() or [""]
    told = f"{run.name:18}{time.monotonic() - began:7.0f} s  {'FAILED' if failed else 'ok':8}{last}"
    print("\n".join([*above, told]) if failed else told, flush=True)
    return not failed


def main() -> None:
    """Carry out the runs, as many at a time as there are cores."""
    listed = "\n".join(f"  {run.name:18}{run.what}" for run in RUNS)
    parser = argparse.ArgumentParser(
        prog="python -m tests.long", description=f"{__doc__}\n{listed}",
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("names", nargs="*", metavar="NAME", help="which (default: all)")
    parser.add_argument("--tenth", action="store_true", help="a tenth of the work")
    parser.add_argument("--seed", type=int, default=7)
    options = parser.parse_args()
    if unknown := set(options.names) - {run.name for run in RUNS}:
        parser.error(f"no such run: {', '.join(sorted(unknown))}")
    part = 10 if options.tenth else 1
    print(f"seed {options.seed}{', a tenth of each' if options.tenth else ''}")
    runs = chosen(options.names, options.tenth)
    with ThreadPoolExecutor(os.cpu_count()) as cores:
        results = list(cores.map(lambda run: carried_out(run, part, options.seed), runs))
    raise SystemExit(not all(results))


if __name__ == "__main__":
    main()
