"""Pupils and classes: the overview of them, and the page that a teacher hands to each pupil."""
