"""The command line: one module a command.

Each has ``add(parser)``, which declares its arguments, and ``run(options) -> int``, which does it and returns
the exit code.  Whatever is slow to import is imported inside ``run``, so that every command starts at once.
"""
