"""A shop's own files, which may come from a stranger: rules of style, typefaces, and which templates are trusted."""
