"""The one next thing to do, which the home page tells; and the invented drum room of the demo."""
