"""What the technician reads that is no page and no print, in the language of the workshop."""
