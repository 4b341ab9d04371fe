"""How content is written: one writer at a time, changes whole or not at all, what was changed, and the way back."""
