"""Drumlin: the window, the terminal and all that a player meets."""
