"""What several commands need: reading, asking, writing, printing."""
