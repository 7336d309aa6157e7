"""Drying to the end: forecasts, inspections, opened and finished lots."""
