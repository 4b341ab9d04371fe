"""The types of all records, and the quantities, places and numbers that they are made of."""
