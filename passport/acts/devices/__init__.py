"""What this computer keeps of the devices that may look over the bench: outside the content, for its owner alone."""
