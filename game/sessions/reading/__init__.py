"""The rules of reading: which bar is written, which beat is not, and charts to be followed or played along."""
