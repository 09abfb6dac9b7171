"""The rules of a round of practice, and of a drill of two figures."""
