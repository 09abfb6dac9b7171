"""Shared by every page that plays sound: the loudspeaker, the mark that follows it, and the choices of listening."""
