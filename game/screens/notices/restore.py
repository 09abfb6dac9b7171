"""The offer to bring a backup back, where the records were damaged or have gone."""

from datetime import date
from pathlib import Path

from game.records import RecordsError
from game.screens.context import Context
from game.screens.notices.dialog import Dialog
from game.widgets.moves import Next, Page, Pop
from game.wording import date_words

DAMAGED = "The records were damaged; they lie set aside, untouched, beside the new ones."
GONE = "No records were found."


class RestoreOffer(Dialog):
    """Asked at the start that found it, over the ``first`` start's pages, which restored records need no more.

    ``damaged`` records lie set aside; without that none were found.  ``drumlin history restore`` does it later.
    """

    main = "go"

    def __init__(self, context: Context, backup: Path, damaged: bool, first: Page) -> None:
        found = DAMAGED if damaged else GONE
        question = f"{found} There is a backup of {_day(backup)}. Bring it back?"
        super().__init__(context, question, "Begin anew", "Bring it back", self._restore)
        self._backup, self._first = backup, first
        # Other than in every other question: what was lost is what most people want back.
        self.focus = "go"

    def _restore(self) -> Next:
        context = self.context
        try:
            context.records.restore(self._backup, context.now())
        except RecordsError as error:
            context.notice = str(error)
            return Pop()
        context.choose_player(context.records.most_recent_player("player") or context.player)
        context.notice = f"The backup of {_day(self._backup)} was brought back."
        return Pop(self._first)


def _day(backup: Path) -> str:
    """The day of a daily backup, as its name tells it."""
    named = backup.stem.removeprefix("records-")
    try:
        return date_words(date.fromisoformat(named))
    except ValueError:
        return named
