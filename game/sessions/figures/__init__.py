"""A figure outside a question: its nearest rivals, and the ways to hear it."""
