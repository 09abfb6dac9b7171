"""Pupils and classes at a glance: who there is, and what a teacher hands to each."""
