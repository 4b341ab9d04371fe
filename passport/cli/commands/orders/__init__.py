"""Commands of the counter."""
