"""What is wanted of the frames that wait at the bench, and what it takes."""
