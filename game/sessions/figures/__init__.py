"""What is worth knowing of a figure outside a question: its nearest rivals."""
