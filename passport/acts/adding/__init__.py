"""Adding what is not there yet: players, frames, frame models and strings, named by the program."""
