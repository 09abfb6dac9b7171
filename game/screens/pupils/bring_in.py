"""Bringing in a pupil's history: the files that lie where downloads go, or any file by its path."""

from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from pygame import Rect

from game.records import RecordsError
from game.records.backups import backup_folder
from game.records.exchange import Imported
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.saving import shown_path
from game.widgets.base import Label, Widget
from game.widgets.boxes import rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.lists import ListBox, Row, row_height
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.text_field import TextField
from game.wording import since_words

FOLDERS = ("Downloads", "Desktop", "Documents")
"""Folders in the home folder where files from others usually lie."""

MOST_FILES = 200


def history_files(folders: Sequence[Path]) -> list[tuple[Path, float]]:
    """The history files in some folders and when each was written (epoch), the newest first."""

    def found() -> Iterator[tuple[Path, float]]:
        for folder in folders:
            try:
                for path in sorted(folder.glob("*.jsonl")):
                    yield path, path.stat().st_mtime
            except OSError:
                # A folder that can't be read holds nothing for us.
                continue

    # The newest first: a teacher looks for what a pupil has just sent.
    return sorted(found(), key=lambda pair: -pair[1])[:MOST_FILES]


class BringIn(Screen):
    """Files to choose from, and a field for a path.  ``brought`` is given what came in."""

    def __init__(self, context: Context, brought: Callable[[Imported], None]) -> None:
        super().__init__(context)
        self._brought = brought
        self._files: list[tuple[Path, float]] = []
        self._chosen = 0
        self._path = Edited()
        self._refused = ""
        self.focus = "files"

    def heading(self) -> Heading:
        return Heading("Bring in", "A pupil's history", "Nothing comes in twice")

    def keys(self) -> Sequence[Key]:
        return (Key("escape", "back", Pop),)

    def entered(self) -> None:
        try:
            home = Path.home()
            folders = [home / name for name in FOLDERS]
        except RuntimeError:
            folders = []
        self._files = history_files([*folders, self.context.data_folder, backup_folder(self.context.data_folder)])
        self.stale = True

    def dropped(self, path: Path) -> Next:
        return self._take(path)

    def body(self, look: Look, box: Rect) -> list[Widget]:
        title, files, words, path, refused, button = rows(
            box,
            [look.line("lead"), None, look.line(), look.u(TARGET), look.line("small") * 2, look.u(TARGET)],
            look.u(12),
        )
        now = self.context.now()
        lines = [Row(shown_path(one), since_words(at, now)) for one, at in self._files]
        where = "No history file (.jsonl) lies among the downloads. Drop one on this window, or write its path."
        button.w = min(button.w, look.u(300))
        return [
            Label("title", title, "Files that were found", "lead", bold=True, middle=True),
            ListBox("files", files, lines, self._chosen, self._choose, self._take_chosen, row_height(look))
            if lines
            else Label("none", files, where),
            Label("words", words, "Or the path of a file", middle=True),
            TextField("path", path, look, self._path, self._write, self._take_path, "Path, then Enter", 1000,
                      bool(self._refused)),
            Label("refused", refused, self._refused, "small", colour="warn", bold=True),
            *([Button("take", button, "Bring it in", self._take_chosen, main=True)] if lines else []),
        ]  # fmt: skip

    def _choose(self, place: int) -> None:
        self._chosen = place

    def _write(self, text: Edited) -> None:
        self._path, self._refused = text, ""

    def _take_chosen(self) -> Next:
        return self._take(self._files[self._chosen][0])

    def _take_path(self) -> Next:
        text = self._path.text.strip().strip("\"'")
        return self._take(Path(text)) if text else None

    def _take(self, path: Path) -> Next:
        try:
            # Within the net: ``expanduser`` raises RuntimeError for a user whom this machine does not know.
            found = self.context.records.import_history(path.expanduser(), self.context.now())
            self._brought(found)
        except (RecordsError, RuntimeError) as error:
            self._refused, self.stale = str(error), True
            return None
        return Pop()
