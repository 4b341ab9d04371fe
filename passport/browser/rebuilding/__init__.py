"""Rebuilding on a blank and making frames equal, step by step."""
