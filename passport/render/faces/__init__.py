"""Typefaces for every script: which there are, which of them has a sign, and what is cut out of them for a page or piece."""
