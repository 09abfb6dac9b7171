"""The player's own bars: written, heard, kept and exported."""
