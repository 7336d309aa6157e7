"""Weights: tare, base factor, doubts, neighbours and the history of a lot."""
