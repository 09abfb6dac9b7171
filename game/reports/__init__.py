"""Pages to print: exam results, plans, lessons, pupils' pages, charts, and a round as one piece of music.

Each module has one function from plain values to the bytes of a PDF file; the same values give the same bytes.
"""
