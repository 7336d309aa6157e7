"""Time in the cure: stages, salt on its way in, turns, ferment, freezing and choices."""
