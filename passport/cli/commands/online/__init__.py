"""Commands that put the site on-line."""
