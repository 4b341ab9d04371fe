"""A shop's own files that nobody here has judged: rules of style, typefaces, and whose templates are trusted."""
