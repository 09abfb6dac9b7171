"""The error of an act that a session refuses."""


class SessionError(ValueError):
    """An act that the session's rules do not allow now.  The message says what would do."""
