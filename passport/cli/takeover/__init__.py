"""Taking a past table over at the terminal: what was understood is shown, what is open is asked."""
