"""A round of practice: the bar that is asked, its answer shown, and the end of the round."""
