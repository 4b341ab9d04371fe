"""The answers that a person has given so far: gone back over, kept for later."""
