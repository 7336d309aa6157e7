"""Words of the diary and its months."""
