"""What home tells: the one next thing to do; and the invented drum room of the demo."""
