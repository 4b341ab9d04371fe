"""What is remembered between builds, and whether it still holds."""
