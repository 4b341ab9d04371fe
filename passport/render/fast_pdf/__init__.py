"""Short ways through WeasyPrint's busiest functions, for one release of it."""
