"""Acts on the typefaces that a shop adds for the names of its players."""
