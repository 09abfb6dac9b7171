"""The rules of a lesson with a class, its shows of hands, and its summary."""
