"""A racquet's string from hole to hole: which holes there are, in which order they are strung, and what that makes."""
