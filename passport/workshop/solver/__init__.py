"""The exact search for which whole steps to add where. Knows numbers only."""
