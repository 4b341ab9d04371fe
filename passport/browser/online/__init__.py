"""What is not on-line yet, and the way there."""
