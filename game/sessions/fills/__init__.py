"""Fills: how they are written, kept, heard, varied, played in and asked as riddles."""
