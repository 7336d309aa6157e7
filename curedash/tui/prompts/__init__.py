"""Prompts: the lines at the foot where questions are asked and answered."""
