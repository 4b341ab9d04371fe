"""A setup as it goes from one workshop to another: its published format, its text on a tag, and reading either."""
