"""How a bar is answered, whatever asks it: the sheet on which a figure is said to each asked beat."""
