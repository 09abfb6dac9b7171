"""The first pages: the welcome, home with the ways in, and the demo."""
