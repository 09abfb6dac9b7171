"""A level while it is edited."""
