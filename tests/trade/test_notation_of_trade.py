"""Spellings and names against tables of common practice, and marks against the music font's own metadata."""

import json
from pathlib import Path
from xml.etree import ElementTree

import pytest
import verovio
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont

from game.engraving import MUSIC_FONT, TEXT_FONT
from shared.counting import parse_figure
from shared.names import note_names
from shared.notation import marks
from shared.notation.marks import FLAG_REACH, MARKS, STEM_JOINT, TEXT_WIDTHS
from shared.spelling import spellings

SEMIQUAVER_GRID = {
    "(1)": ("-q", 1), "1": ("q", 4), "(1) e": ("-s e.", 3), "(1) &": ("-e e", 2), "(1) a": ("-e. s", 1),
    "1 e": ("s e.", 3), "1 &": ("e e", 4), "1 a": ("e. s", 3), "(1) e &": ("-s s e", 2), "(1) e a": ("-s e s", 2),
    "(1) & a": ("-e s s", 1), "1 e &": ("s s e", 2), "1 e a": ("s e s", 2), "1 & a": ("e s s", 2),
    "(1) e & a": ("-s s s s", 1), "1 e & a": ("s s s s", 1),
}  # fmt: skip
"""Usual spelling, and how many there are: common practice, no source."""

OTHERS = {
    "1": {"e -e", "e. -s", "s -s -e"},
    "(1) e": {"-s e -s", "-s s -e"},
    "(1) &": {"-e s -s"},
    "1 a": {"e -s s", "s -s -s s"},
    "1 e a": {"s s -s s"},
}
"""Other spellings of the same sound: common practice, no source."""

TRIPLETS = {
    "(1) trip": "-e q", "(1) let": "-q e", "1 trip": "e q", "1 let": "q e", "(1) trip let": "-e e e",
    "1 trip let": "e e e",
}  # fmt: skip
"""Three in the time of two quavers: common practice, no source."""

COMPOUND = {"1": "q.", "(1)": "-q.", "(1) la": "-e q", "(1) li": "-q e", "1 la": "e q", "1 li": "q e",
            "(1) la li": "-e e e", "1 la li": "e e e"}  # fmt: skip
"""The dotted-crotchet beat in quavers: common practice, no source."""

METADATA = json.loads((Path(__file__).parent / "music_font_metadata.json").read_text())
"""From the metadata of the font (version 1.392) that ours is a subset of, in SMuFL 1.4 terms."""

SMUFL = {
    "noteheadBlack": 0xE0A4, "restQuarter": 0xE4E5, "rest8th": 0xE4E6, "rest16th": 0xE4E7, "flag8thUp": 0xE240,
    "flag16thUp": 0xE242, "augmentationDot": 0xE1E7, "tuplet3": 0xE883, "repeatDot": 0xE044,
    "repeat1Bar": 0xE500, "dynamicPiano": 0xE520, "dynamicMF": 0xE52D, "dynamicForte": 0xE522,
}  # fmt: skip
"""SMuFL 1.4, W3C Music Notation Community Group."""


def test_semiquaver_grid_is_spelled_as_usual() -> None:
    """Usual spelling and number of spellings of each of the fifteen figures and the rest."""
    found = {count: spellings(parse_figure(count)) for count in SEMIQUAVER_GRID}
    assert {count: (each[0].code, len(each)) for count, each in found.items()} == SEMIQUAVER_GRID


def test_other_spellings_are_known() -> None:
    """The same sound written otherwise."""
    found = {count: spellings(parse_figure(count))[1:] for count in OTHERS}
    assert {count: {spelling.code for spelling in each} for count, each in found.items()} == OTHERS


def test_triplets_are_spelled_as_usual() -> None:
    """Triplets, with their rests and the quaver-swing pair, stand three in the time of two."""
    found = {count: spellings(parse_figure(count))[0] for count in TRIPLETS}
    assert {count: spelling.code for count, spelling in found.items()} == TRIPLETS
    assert {spelling.tuplet for spelling in found.values()} == {(3, 2)}


def test_compound_quavers_need_no_tuplet() -> None:
    """The compound beat in quavers is spelled without a tuplet."""
    found = {count: spellings(parse_figure(count, compound=True))[0] for count in COMPOUND}
    assert {count: spelling.code for count, spelling in found.items()} == COMPOUND
    assert {spelling.tuplet for spelling in found.values()} == {None}


@pytest.mark.parametrize(
    ("letter", "uk", "us"),
    [("1", "crotchet", "quarter"), ("1 &", "quaver", "eighth"), ("1 e & a", "semiquaver", "sixteenth"),
     ("1 ta e ta & ta a ta", "demisemiquaver", "thirty-second")],
)  # fmt: skip
def test_terms_are_standard(letter: str, uk: str, us: str) -> None:
    """UK and US names of the note values (Standard)."""
    spelling = spellings(parse_figure(letter))[0]
    assert set(note_names(spelling).split(", ")) == {uk}
    assert set(note_names(spelling, "us").split(", ")) == {us}


def test_boxes_are_the_fonts_own() -> None:
    """Each mark's box is that of the metadata, y turned downward, and of the outline we ship."""
    font = TTFont(MUSIC_FONT)
    glyphs, codes = font.getGlyphSet(), font.getBestCmap()
    for name, mark in MARKS.items():
        box = METADATA["glyphBBoxes"][name]
        ours = (mark.left, mark.bottom, mark.right, mark.top)
        theirs = (box["bBoxSW"][0], -box["bBoxSW"][1], box["bBoxNE"][0], -box["bBoxNE"][1])
        assert ours == pytest.approx(theirs, abs=0.001), name
        pen = BoundsPen(glyphs)
        glyphs[codes[mark.code]].draw(pen)
        left, bottom, right, top = (length / 250 for length in pen.bounds)
        assert (left, -bottom, right, -top) == pytest.approx(ours, abs=0.01), name


def test_code_points_of_the_standard() -> None:
    """Code points by SMuFL 1.4."""
    assert {name: MARKS[name].code for name in SMUFL} == SMUFL


def test_code_points_agree_with_verovio() -> None:
    """Every mark has the code point that an independent engraver's table gives its name; one it does not list."""
    table = ElementTree.parse(Path(verovio.__file__).parent / "data" / "Bravura.xml")
    theirs = {glyph.attrib.get("n"): int(glyph.attrib["c"], 16) for glyph in table.getroot().iter("g")}
    assert set(MARKS) - set(theirs) == {"noteheadParenthesis"}
    assert all(mark.code == theirs[name] for name, mark in MARKS.items() if name in theirs)


@pytest.mark.parametrize(
    ("ours", "default"),
    [("STEM", "stemThickness"), ("BEAM", "beamThickness"), ("BEAM_GAP", "beamSpacing"),
     ("STAFF_LINE", "staffLineThickness"), ("BAR_LINE", "thinBarlineThickness"), ("LEDGER", "legerLineThickness"),
     ("LEDGER_REACH", "legerLineExtension"), ("BRACKET", "tupletBracketThickness"),
     ("THICK_LINE", "thickBarlineThickness")],
)  # fmt: skip
def test_thicknesses_are_the_fonts_own(ours: str, default: str) -> None:
    """Stems, beams and lines are as thick as the font's engraving defaults say."""
    assert getattr(marks, ours) == METADATA["engravingDefaults"][default]


def test_stems_join_at_the_fonts_anchors() -> None:
    """Flags hang from the stem, and stems begin at the head, where the font's anchors say."""
    anchors = METADATA["glyphsWithAnchors"]
    for name, reach in FLAG_REACH.items():
        anchor = "stemUpNW" if name.endswith("Up") else "stemDownSW"
        assert reach == anchors[name][anchor][1]
    for name, reach in STEM_JOINT.items():
        assert reach == pytest.approx(anchors[name]["stemUpSE"][1], abs=0.001)


def test_text_widths_are_the_fonts_own() -> None:
    """The widths that spacing goes by are the text font's advances."""
    font = TTFont(TEXT_FONT)
    advances = {sign: font["hmtx"][font.getBestCmap()[ord(sign)]][0] for sign in TEXT_WIDTHS}
    assert advances == TEXT_WIDTHS
    assert font["head"].unitsPerEm == 1000
    assert font["OS/2"].sCapHeight == marks.CAPITALS * 1000
