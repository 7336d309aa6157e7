"""A lot in the cure: stages, turns, holds, ferment and freezing."""
