"""Weigh-ins: one, many, corrected, re-based, divided or swapped."""
