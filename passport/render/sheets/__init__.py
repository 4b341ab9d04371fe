"""Private sheets for the bench: rebuild, match, the day."""
