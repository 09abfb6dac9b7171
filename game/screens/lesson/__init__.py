"""A lesson with a class on the projector: before it, in it, and at its end."""
