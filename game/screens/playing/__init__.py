"""The pages of playing: bars to play, call and answer, recordings, and the choice of what is played on."""
