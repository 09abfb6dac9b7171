"""Paper for a class, chosen and looked at in the window."""
