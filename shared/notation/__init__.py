"""Notation: from figures and strokes to a layout of glyphs, and to MusicXML."""
