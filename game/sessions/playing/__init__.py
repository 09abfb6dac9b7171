"""The rules of playing: bars to play, call and answer, recordings, and the report of a take."""
