"""How firmly figures are held, tables of what is mixed up and how it changes, and the practice plan with its days."""
