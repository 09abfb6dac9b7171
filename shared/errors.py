"""The base class of errors that a user can mend; any other error is a bug of ours."""

REINSTALL = "install Drumlin again"
"""The advice where a file that came with the program is missing or damaged."""


class UserError(Exception):
    """Something that whoever sits before the program can mend.

    The message is for that person, as a rule in one line: what, where, what would do.  Every other error that
    nobody caught is a bug of ours, and is told as one, with a report.
    """
