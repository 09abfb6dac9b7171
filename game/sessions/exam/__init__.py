"""The rules of a mock exam, its paper, its playing part, its result, its day, and the forecast in words."""
