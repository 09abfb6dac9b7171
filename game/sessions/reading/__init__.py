"""The rules of reading: which bar is written, or which beat is not."""
