"""What is said over the counter: somebody walks in, a frame is taken in."""
