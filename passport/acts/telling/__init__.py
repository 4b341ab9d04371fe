"""Players are told that work is done, strings are due, or a replacement is built; and who was told what is kept."""
