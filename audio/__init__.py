"""Drumlin: strokes into sound, and sound into strokes."""
