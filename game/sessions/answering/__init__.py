"""Answering a bar, in practice, exam or terminal: the sheet on which a figure is said to each asked beat."""
