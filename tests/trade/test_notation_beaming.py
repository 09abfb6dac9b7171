"""Our beams against those of two independent programs, for the whole semiquaver grid."""

from xml.etree import ElementTree

import music21
import pytest
import verovio

from shared.notation.beaming import groups
from shared.spelling import Spelling, spellings
from tests.shared.strategies import SEMIQUAVER_FIGURES

NUMBERS = {"q": "4", "e": "8", "s": "16"}
HOOKS = {1: "right", -1: "left"}
GRID = [spelling for figure in SEMIQUAVER_FIGURES for spelling in spellings(figure)]

OVER_A_REST = {"-s s -s s", "e -s s", "s -s -s s", "s -s e", "s -s s -s", "s -s s s", "s s -s s"}
"""Music21 breaks its beams at every rest; verovio, and drum music, beam over a rest inside the beat."""

NOTES = "{http://www.music-encoding.org/ns/mei}"


def ours(spelling: Spelling) -> list[int]:
    """How many notes each beam of a beat has."""
    return [len(group.notes) for group in groups(spelling) if group.beams]


def verovios(spelling: Spelling) -> list[int]:
    """The same by verovio's automatic beaming, on the first of two equal beats."""
    values = [NUMBERS[v.letter] + "." * v.dots + ("r" if v.rest else "cc") for v in spelling.values]
    text = "\n".join(["**kern", "*M2/4", "=1", *values, *values, "==", "*-", "!!!filter: autobeam", ""])
    engraver = verovio.toolkit()
    engraver.setOptions({"inputFrom": "humdrum"})
    assert engraver.loadData(text)
    beams = [
        len(list(beam.iter(f"{NOTES}note"))) for beam in ElementTree.fromstring(engraver.getMEI()).iter(f"{NOTES}beam")
    ]
    assert beams[: len(beams) // 2] == beams[len(beams) // 2 :]
    return beams[: len(beams) // 2]


def test_groups_agree_with_verovio() -> None:
    """Verovio groups the same notes, over rests too."""
    assert {spelling.code: ours(spelling) for spelling in GRID} == {each.code: verovios(each) for each in GRID}


@pytest.mark.parametrize("spelling", [s for s in GRID if s.code not in OVER_A_REST], ids=str)
def test_partial_beams_agree_with_music21(spelling: Spelling) -> None:
    """Music21 points the same partial beams the same way."""
    measure = music21.stream.Measure()
    measure.timeSignature = music21.meter.TimeSignature("2/4")
    for value in spelling.values * 2:
        kind = music21.note.Rest if value.rest else music21.note.Note
        measure.append(kind(quarterLength=float(value.crotchets)))
    measure.makeBeams(inPlace=True)
    notes = list(measure.notesAndRests)[: len(spelling.values)]
    theirs = [
        (place, beam.number, beam.direction)
        for place, note in enumerate(note for note in notes if not note.isRest)
        for beam in note.beams.beamsList
        if beam.type == "partial"
    ]
    hooks, before = [], 0
    for group in groups(spelling):
        hooks += [(before + beam.first, beam.level, HOOKS[beam.hook]) for beam in group.beams if beam.hook]
        before += len(group.notes)
    assert sorted(hooks) == sorted(theirs)
