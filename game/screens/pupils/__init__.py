"""Pupils and classes in the window, and what comes in from other machines."""
