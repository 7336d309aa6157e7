"""Words of the book, history, packs, settings and styles."""
