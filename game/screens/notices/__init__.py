"""Pages that lie over another page: a question, a name to type, a fault."""
