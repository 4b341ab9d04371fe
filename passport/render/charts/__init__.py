"""Charts, and the figures that put drawings and charts together."""
