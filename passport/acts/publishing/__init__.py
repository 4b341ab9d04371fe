"""The act of putting the site on-line: where to, with which password, and what must be settled first."""
