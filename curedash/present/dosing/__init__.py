"""Words and columns of a batch, its dose and its sheet."""
