"""What is in stock, by what was bought, counted and used, and what to order."""
