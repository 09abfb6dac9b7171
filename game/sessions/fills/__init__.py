"""Bars of the player's own: how they are typed and kept."""
