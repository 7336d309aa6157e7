"""Words of ferment and freezing."""
