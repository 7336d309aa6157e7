"""What every page shares: application, page, keys, writer, theme and state."""
