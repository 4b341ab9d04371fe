"""What is brought from another workshop, and how a command takes it."""
