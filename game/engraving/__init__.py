"""Painters of layouts (``shared.notation``): on a pygame surface, in SVG, in PNG and in PDF; and sheets to print.

On the screen::

    engraver = Engraver()                                    # one for the window: it keeps what it has drawn
    layout = lay_out_bar(meter, figures, Dress(hands=hands), tones=("ink", "wrong", ...))
    space = fit(layouts, width, height)                      # pixels a staff space: the largest that fits them all
    engraver.paint(surface, layout, (left, line), space, {"ink": "#101418", "wrong": "#b35900"})

``left`` is the pixel column of the layout's left edge, ``line`` the pixel row of the staff's middle
line, so that layouts side by side share one line.  ``layout.top`` and ``layout.bottom`` times
``space`` say how far the ink reaches above and below it.  A tone that the palette lacks is painted
as ``ink``.  ``layout.beats[k]`` holds the left and right edge of beat ``k`` and ``layout.column(k,
at)`` the middle of a note there, both in staff spaces from the left edge.
"""

from pathlib import Path

FONTS = Path(__file__).parent / "fonts"
MUSIC_FONT = FONTS / "DrumlinMarks-Regular.ttf"
TEXT_FONT = FONTS / "AtkinsonHyperlegibleNext-Bold.ttf"
PLAIN_FONT = FONTS / "AtkinsonHyperlegibleNext-Regular.ttf"
"""The fonts of music, of bold text and of other text."""

EM = 4
"""The size of the music font in staff spaces (SMuFL 1.4)."""

A4_WIDTH, A4_HEIGHT = 210.0, 297.0
"""A page, in millimetres."""
