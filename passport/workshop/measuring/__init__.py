"""What readings are worth: instruments, corrections, states of a frame, verdicts."""
