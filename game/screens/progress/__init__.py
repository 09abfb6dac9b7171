"""What a player takes for what, how that changes, and the plan that follows from it."""
