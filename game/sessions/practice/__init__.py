"""The rules of a round of practice, and how its bars may be heard."""
