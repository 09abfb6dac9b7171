"""The one next thing to do and the order of the ways in, for the home page; and the invented drum room of the demo."""
