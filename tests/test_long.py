"""What the suite leaves out is run by ``python -m tests.long``, and nothing is left out altogether."""

from importlib.util import find_spec
from itertools import product

import pytest

from tests.long import RUNS, chosen
from tests.sampling import some


@pytest.mark.parametrize("one_in", [1, 2, 3, 4])
def test_a_sample_holds_every_value(one_in: int) -> None:
    """Every case is there, one in so many stays in the suite, and with them every value of a table."""
    pages, sizes = range(7), "abcd"
    cases = some(one_in, pages, sizes)
    stay = [case.values for case in cases if not case.marks]
    assert [case.values for case in cases] == list(product(pages, sizes))
    assert len(stay) == len(cases) // one_in + (len(cases) % one_in > 0)
    assert {page for page, _ in stay} == set(pages)
    assert {size for _, size in stay} == set(sizes)


def test_every_run_can_be_started() -> None:
    """Each names a module that is there; a tenth is less work, and goes without what only the whole can tell."""
    assert {run.name for run in chosen([], tenth=False)} == {run.name for run in RUNS}
    for run in RUNS:
        whole, tenth = run.words(1, 1), run.words(10, 1)
        assert find_spec(whole[0])
        assert run.whole or whole != tenth
    assert {run.name for run in chosen([], tenth=True)} == {run.name for run in RUNS if not run.whole}
