"""The few widgets, their looks, and how the focus travels among them."""
