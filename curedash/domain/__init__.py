"""What is true on paper: formulas, limits, rules. Standard library only."""
