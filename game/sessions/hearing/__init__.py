"""The ways to hear a bar, and how a player's settings change what is heard."""
