"""What all output shares: colours, words, formats, typefaces, templates."""
