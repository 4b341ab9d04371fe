"""What a job says of its strings, put together: the path from hole to hole, the pull of each string."""
