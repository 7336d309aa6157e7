"""What needs somebody: alert rules, the diary, days away and the next steps."""
