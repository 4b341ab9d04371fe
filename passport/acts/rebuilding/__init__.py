"""A rebuild under way: steps and readings noted beside the blank."""
