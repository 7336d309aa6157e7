"""What needs somebody: the check, cautions, the diary and days away."""
