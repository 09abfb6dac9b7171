"""Hearing a bar: the passages that sound it, and how a player's settings and way of listening change them."""
