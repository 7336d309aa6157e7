"""One screen a module, its style sheet beside it."""
