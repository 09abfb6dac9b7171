"""The values of a level being edited, in short and as notation."""

from game.sessions.levels.draft import LevelDraft
from shared.bars import METERS
from shared.level_keys import KEYS, Kind
from shared.levels import Level
from shared.orchestration import MOST_GROOVE_BARS
from shared.spelling import SpellingError, spelling_from_code

GROOVES = tuple((bars, {0: "None", 1: "1 bar"}.get(bars, f"{bars} bars")) for bars in range(MOST_GROOVE_BARS + 1))
"""The numbers of groove bars, with words."""


def short_value(draft: LevelDraft, place: str) -> str:
    """A value in a word or two, for the list of them; empty for a long text."""
    match KEYS[place].kind:
        case Kind.FIGURES:
            return str(len(draft.listed(place)))
        case Kind.GROOVES:
            return ", ".join(map(str, sorted(draft.groove_bars)))
        case Kind.ORCHESTRATIONS | Kind.BY_FIGURE:
            number = len(getattr(draft, place))
            return str(number) if number else ""
        case Kind.METER | Kind.NUMBER:
            return draft.texts[place][:8]
    return ""


def preview_level(draft: LevelDraft) -> Level:
    """What can be drawn of a draft: its figures that can be read, with their spellings."""
    figures = draft.listed("figures")
    spelling = {}
    for figure in figures:
        try:
            spelling[figure] = spelling_from_code(draft.spelling.get(figure.count, ""), figure).code
        except SpellingError:
            continue
    meter = METERS.get(draft.texts["meter"], METERS["4/4"])
    return Level("draft", "Draft", meter, figures, spelling=spelling)
