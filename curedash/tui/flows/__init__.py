"""Conversations: weighing, moving, finishing, dividing, exporting and undoing."""
