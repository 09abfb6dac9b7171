"""The rules of practice: a round, its points, new figures that are met, drills, steps of a plan, the closing round."""
