"""Drying: rate, loss, water, equalising, inspections and the forecast."""
