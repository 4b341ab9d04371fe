"""The same racquet again."""
