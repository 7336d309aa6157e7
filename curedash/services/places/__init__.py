"""Places: air, sensors, moves and outages."""
