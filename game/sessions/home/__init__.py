"""The invented drum room of the demo."""
