"""Pages to print: the result of a mock exam, a practice plan, a lesson with a class.

Each module has one function from plain values to the bytes of a PDF file; the same values give the same bytes.
"""
