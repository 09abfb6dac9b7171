"""A records file whose end is missing: set aside wherever anything was lost by it, kept where nothing was."""

from pathlib import Path

import pytest

from game.records import Records
from tests.records.record_samples import NOW, keep_bars
from tests.trust.faults import contents

PAGE = 4096


@pytest.fixture
def file(folder: Path, questions: int) -> Path:
    """A closed records file with a pupil, so many questions, and a backup of them."""
    with Records.open(folder, NOW) as records:
        wren = records.add_player("Wren", NOW)
        keep_bars(records, wren, questions)
    with Records.open(folder, NOW):
        return folder / "records.sqlite"


def kept(file: Path) -> bool:
    """Whether the file is opened without a word; where not, the backup is offered and the file lies aside."""
    cut = file.read_bytes()
    with Records.open(file.parent, NOW) as records:
        opening = records.opening
    if not opening.notice:
        return True
    assert opening.backup
    assert opening.set_aside
    assert opening.set_aside.read_bytes() == cut
    opening.set_aside.unlink()
    return False


@pytest.mark.parametrize("apart", [24, pytest.param(1, marks=pytest.mark.long)])
@pytest.mark.parametrize("questions", [1, 60, 100, 300])
def test_a_cut_is_seen_where_anything_is_missing(file: Path, questions: int, apart: int) -> None:
    """Cut anywhere, into its last page or before: it is kept if, and only if, every row is there and unchanged."""
    whole, expected = file.read_bytes(), contents(file)
    assert expected
    lengths = [*range(PAGE, len(whole), 5003), *range(len(whole) - PAGE, len(whole) - 60, 131)]
    lengths += range(len(whole) - 60, len(whole) + 1, 3)
    # The tests take one in 24 of them, beginning elsewhere for each number of questions.
    for length in lengths[questions // 42 % apart :: apart]:
        file.write_bytes(whole[:length])
        assert kept(file) == (contents(file) == expected), length
