"""The rules behind the pages, without screen or sound, in folders that are named as those of the pages are."""


class SessionError(ValueError):
    """An act that the session's rules do not allow now.  The message says what would do."""
