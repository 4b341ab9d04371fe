"""Records to facts, and checks and comparisons that need the facts of a whole workshop."""
