"""The settings: names, looks, sound, keys, and how late the sound is."""
