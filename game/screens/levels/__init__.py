"""Levels to choose, to look through, to copy and to edit."""
