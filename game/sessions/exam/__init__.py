"""The rules of a mock exam, its paper, its result, and the forecast in words."""
