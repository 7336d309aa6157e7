"""Words and curve of a place's air."""
