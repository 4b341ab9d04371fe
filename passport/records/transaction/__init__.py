"""How content is written: whole files, one writer at a time."""
