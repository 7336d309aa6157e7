"""The form of a new batch: its fields, what they hold, how they are read and drawn."""
