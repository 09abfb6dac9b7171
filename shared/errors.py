"""The base of all errors that a user can mend, which tells them from our own mistakes."""


class UserError(Exception):
    """Something that whoever sits before the program can mend.

    The message is for that person, as a rule in one line: what, where, what would do.  Every other error that
    nobody caught is a bug of ours, and is told as one, with a report.
    """
