"""The team's reviewed parts and their history."""
