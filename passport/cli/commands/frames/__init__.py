"""Commands that change a frame's or a player's records."""
