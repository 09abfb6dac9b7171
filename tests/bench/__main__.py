"""``python -m tests.bench [WORD ...]``: every measure against its goal, in one table, for use before a release.

With words only the tests whose names hold one of them.  The coach's long comparison with other ways of choosing is
``python -m tests.bench.learning``; what was tried against loss is ``python -m tests.trust``.
"""

import sys
from pathlib import Path

import pytest

from tests.bench.page import Page


def main() -> None:
    """Measure everything and print the table; exit code 1 where a goal was missed."""
    page = Page()
    # One after the other: the benchmark plugin refuses a run that may be spread over several processes.
    options = ["-m", "bench", "--benchmark-enable", "--benchmark-quiet", "-p", "no:randomly", "--dist", "no"]
    chosen = ["-k", " or ".join(sys.argv[1:])] if sys.argv[1:] else []
    code = pytest.main(
        [str(Path(__file__).parent), *options, *chosen, "--timeout=1800", "--tb=no", "-q"], plugins=[page]
    )
    print(page.text())
    raise SystemExit(code)


if __name__ == "__main__":
    main()
