"""A text font that came with the program and is damaged is told in one line that says what would do."""

from pathlib import Path

import pytest

from game.widgets import lettering
from shared.errors import UserError


@pytest.mark.parametrize("content", [b"rain on the millrace", b"", None])
def test_a_damaged_font_says_install_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, content: bytes | None
) -> None:
    """Whatever became of the file: its path, and to install Drumlin again."""
    path = tmp_path / "AtkinsonHyperlegibleNext-Regular.ttf"
    if content is not None:
        path.write_bytes(content)
    monkeypatch.setattr(lettering, "PLAIN_FONT", path)
    lettering.forget()
    try:
        with pytest.raises(UserError, match="came with Drumlin and can't be read; install Drumlin again") as caught:
            lettering.font(20)
        assert str(path) in str(caught.value)
    finally:
        lettering.forget()
