"""Drumlin as people get it: its man page, its place in the menu, and the program that is built of it."""
