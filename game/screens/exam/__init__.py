"""A mock exam: its rules, its bars without help, and its result."""
