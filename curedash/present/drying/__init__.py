"""Words, curve and window of a drying lot."""
