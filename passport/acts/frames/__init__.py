"""Acts on a frame's or a player's records."""
