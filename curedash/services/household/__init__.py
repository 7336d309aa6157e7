"""The household: settings, styles, book, packs, history and undo."""
