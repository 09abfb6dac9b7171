"""Progress: the confusion table, how it changes, and the practice plan that follows from it."""
