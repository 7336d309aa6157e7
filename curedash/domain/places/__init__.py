"""Air of a place: bands, outages, vapour and bad readings."""
