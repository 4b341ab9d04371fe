"""Photos taken at the bench."""
