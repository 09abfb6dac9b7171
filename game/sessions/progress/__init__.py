"""Tables of what a player mixes up and how it changes, and the plan that follows."""
