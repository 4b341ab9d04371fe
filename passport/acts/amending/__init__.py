"""What was written by mistake: taken back, or corrected."""
