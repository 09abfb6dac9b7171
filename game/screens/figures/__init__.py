"""The figures to look through and to hear, outside any question."""
