"""How files are opened and folders gone through: the one reader, the one walker."""
