"""The letters of figures, which a class holds up and a teacher presses: the same on the wall and on paper."""

LETTERS = "ACDEFGHIJKLMNOPQRSTUVWXY"
"""A letter for each figure of a level, in its order; as many as a level can have.

There is no B: the key for a dark picture sends it on many presenters' remotes, and would vote.  To ask what was meant
would stop the lesson, and to take B for a vote only where no remote was seen yet would mean two things by one key.
"""
