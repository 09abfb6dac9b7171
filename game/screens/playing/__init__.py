"""The page of playing."""
