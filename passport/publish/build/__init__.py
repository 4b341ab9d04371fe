"""One build of the site, and the site made as it is asked for."""
