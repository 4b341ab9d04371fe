"""Commands for a whole workshop."""
