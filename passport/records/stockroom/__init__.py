"""The workshop's stock: what was bought and counted, and what of it went onto frames."""
