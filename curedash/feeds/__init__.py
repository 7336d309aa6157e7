"""Readings that arrive by themselves: pipe and broker."""
