"""Drumlin: figures, counts, notation and levels, without any edge."""
