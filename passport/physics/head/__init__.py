"""The strung area of a racquet: its outline, and how a membrane and a net of strings over it ring."""
