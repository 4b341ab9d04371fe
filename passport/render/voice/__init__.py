"""What the technician reads in the terminal, put into the words of a language."""
