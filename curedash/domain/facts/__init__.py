"""Sourced numbers as Python literals: value, unit, source, how well known."""
