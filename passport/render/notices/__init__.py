"""What a player is told of a racquet, in their language."""
