"""What is asked over the counter: which frame is meant, what is wanted of it."""
