"""Acts of the counter: a frame is taken in, and handed back."""
