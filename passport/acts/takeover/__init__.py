"""A shop's past table taken into the records, and the list of what a person decides for it."""
