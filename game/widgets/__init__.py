"""The widgets of the pages, their look, and how the focus travels among them."""
