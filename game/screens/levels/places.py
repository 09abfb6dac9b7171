"""The values of a level in words: what each is called, what may be written, and how it looks in short."""

from game.sessions.levels.draft import LevelDraft
from shared.bars import METERS
from shared.levels import Level
from shared.orchestration import MOST_GROOVE_BARS
from shared.spelling import SpellingError, spelling_from_code

TITLES = {
    "title": ("Title", "One line of at most 60 characters."),
    "about": ("About", "What is new here and what it is for, in at most 400 characters."),
    "meter": ("Meter", "Crotchet beats in 2/4, 3/4 and 4/4, dotted crotchets in 6/8, 9/8 and 12/8."),
    "figures": (
        "Figures",
        "2 to 24 figures: type their counts with commas between them, or tick them below with Enter.",
    ),
    "new": ("New figures", "Those that are introduced here. Each is also one of the level's figures."),
    "order": ("Order", "In which order figures are met: any of them; the others follow, from plain to dense."),
    "spelling": ("Spellings", "Choose a figure, then how it is written; the first way is the usual one."),
    "words": ("Memory words", "Choose a figure, then write its word. An empty one is as shipped."),
    "orchestrations": ("On the kit", "The ways round the kit that are asked. Enter takes one in or leaves it out."),
    "groove_bars": ("Groove bars", "How many bars of groove may come before the bar. Enter takes one in or out."),
    "tempo.low": ("Slowest tempo", "In beats a minute, from 20."),
    "tempo.high": ("Fastest tempo", "In beats a minute, up to 400."),
    "exam.questions": ("Exam: bars", "How many bars the exam asks, 1 to 100."),
    "exam.hearings": ("Exam: hearings", "How often each bar may be heard, 1 to 10."),
    "exam.playing": ("Exam: bars to play", "How many bars are played, not named, 0 to 100."),
    "exam.pass_mark": ("Exam: pass", "The share of beats to be right, from 0 to 1, such as 0.7."),
    "exam.merit_mark": ("Exam: merit", "The share of beats to be right, from 0 to 1, such as 0.8."),
    "exam.distinction_mark": ("Exam: distinction", "The share of beats to be right, from 0 to 1, such as 0.9."),
}
"""The title of each place of a level, and what may be written there."""

GROOVES = tuple((bars, {0: "None", 1: "1 bar"}.get(bars, f"{bars} bars")) for bars in range(MOST_GROOVE_BARS + 1))
"""The numbers of groove bars, with words."""

SHORT = ("meter", "tempo.low", "tempo.high")
"""The texts that are shown whole, beside those of the exam."""


def short_value(draft: LevelDraft, place: str) -> str:
    """A value in a word or two, for the list of them; empty for a long text."""
    if place in ("figures", "new", "order"):
        return str(len(draft.listed(place)))
    if place == "groove_bars":
        return ", ".join(map(str, sorted(draft.groove_bars)))
    if place in ("orchestrations", "spelling", "words"):
        number = len(getattr(draft, place))
        return str(number) if number else ""
    return draft.texts[place][:8] if place in SHORT or place.startswith("exam.") else ""


def preview_level(draft: LevelDraft) -> Level:
    """What can be drawn of a draft: its figures that can be read, with their spellings.

    Levels that differ in their spellings alone count as equal, so the spellings are in the name.
    """
    figures = draft.listed("figures")
    spelling = {}
    for figure in figures:
        try:
            spelling[figure] = spelling_from_code(draft.spelling.get(figure.count, ""), figure).code
        except SpellingError:
            continue
    meter = METERS.get(draft.texts["meter"], METERS["4/4"])
    return Level(f"draft {spelling}", "Draft", meter, figures, spelling=spelling)
