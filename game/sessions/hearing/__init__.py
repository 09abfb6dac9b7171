"""What is heard of a bar, and how the player at hand hears it, whatever asked for it."""
