"""The output folder: what stands in it, and how it is exchanged."""
