"""The rules behind the pages, without screen or sound, under the same names as the pages."""


class SessionError(ValueError):
    """An act that the session's rules do not allow now.  The message says what would do."""
