"""The player's own keys, and the measuring of how late the sound is."""
