"""A fill or a chart as files for other programs: into a folder that is shown, and can be changed, on the page."""

from collections.abc import Sequence
from pathlib import Path

from pygame import Rect

from game.pieces import KINDS, chart_piece, write_piece
from game.records import RecordsError
from game.records.folders import made_folder, unused
from game.screens.base import Heading, Key, Screen
from game.screens.context import Context
from game.screens.saving import shown_path
from game.widgets.base import Act, Label, Widget
from game.widgets.boxes import grid, rows
from game.widgets.controls import TARGET, Button
from game.widgets.editing import Edited
from game.widgets.look import Look
from game.widgets.moves import Next, Pop
from game.widgets.text_field import TextField
from shared.charts import Chart
from shared.files import FileError, slug
from shared.orchestration import Setting

FOLDER = "fills"


class ChartFiles(Screen):
    """Writes a chart, as it is played, in any of six kinds of file; an older file is never replaced."""

    def __init__(self, context: Context, name: str, chart: Chart, setting: Setting) -> None:
        super().__init__(context)
        self._name, self._chart, self._setting = name, chart, setting
        self._folder = Edited.at_end(shown_path(context.data_folder / FOLDER))
        self._told: list[str] = []
        self._failed = self._refused = False
        self.focus = "write .wav"

    def heading(self) -> Heading:
        return Heading("Files", self._name or "A new fill", self._chart.meter.name)

    def keys(self) -> Sequence[Key]:
        return (Key("a", "write all six", self._write_all), Key("escape", "back", Pop))

    def body(self, look: Look, box: Rect) -> list[Widget]:
        words, folder, kinds, told = rows(
            box, [look.line(), look.u(TARGET + 16), look.u(84) * 2 + look.u(16), None], look.u(18)
        )
        cells = grid(kinds, len(KINDS), 3, look.u(16))
        return [
            Label("folder words", words, "The folder they are written to, made where it is missing", middle=True),
            TextField(
                "folder",
                folder,
                look,
                self._folder,
                self._change_folder,
                self._to_kinds,
                "A folder",
                400,
                self._refused,
            ),
            *(
                Button(f"write {ending}", cell, kind.word, self._writes(ending), about=kind.about, key=str(number))
                for number, (cell, (ending, kind)) in enumerate(zip(cells, KINDS.items(), strict=True), 1)
            ),
            *self._report(look, told),
        ]

    def _report(self, look: Look, box: Rect) -> list[Widget]:
        high = look.line()
        # The last lines, where large type leaves no room for all six.
        shown = self._told[-max(1, box.h // (high + look.u(4))) :]
        lines = rows(box, [high] * len(shown), look.u(4))
        colour = "warn" if self._failed else "ink"
        return [
            Label(f"told {k}", line, text, colour=colour, middle=True)
            for k, (line, text) in enumerate(zip(lines, shown, strict=True))
        ]

    def _change_folder(self, folder: Edited) -> None:
        self._folder, self._refused = folder, False

    def _to_kinds(self) -> Next:
        self.set_focus("write .wav")
        return None

    def _writes(self, ending: str) -> Act:
        return lambda: self._write([ending])

    def _write_all(self) -> Next:
        return self._write(list(KINDS))

    def _write(self, endings: Sequence[str]) -> Next:
        """Write files, all or none, and say where, or why not."""
        try:
            # All paths before the first file: a folder that can't be made leaves none of them behind.
            paths = [self._path(ending) for ending in endings]
        except (FileError, RecordsError) as error:
            self._told, self._failed, self._refused = [str(error)], True, True
            self.set_focus("folder")
            return None
        try:
            write_piece(paths, chart_piece(self._chart, self._setting, self._name))
        except FileError as error:
            self._told, self._failed = [str(error)], True
        else:
            self._told, self._failed = [f"Written: {shown_path(path)}" for path in paths], False
        return None

    def _path(self, ending: str) -> Path:
        text = self._folder.text.strip()
        if not text:
            raise FileError("No folder is named; write one above")
        try:
            folder = Path(text).expanduser()
        except RuntimeError:
            raise FileError(f"{text}: there is no such home folder; write the whole path") from None
        # Relative to what? Whoever starts Drumlin by its icon does not know its working folder.
        if not folder.is_absolute():
            raise FileError(f"{text}: write the whole path, from {Path('/').anchor or 'the drive'} or ~ on")
        # Never over an older file, in which somebody may have gone on writing with another program.
        return unused(made_folder(folder) / f"{slug(self._name) or 'fill'}{ending}")
