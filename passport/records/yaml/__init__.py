"""YAML text: read with places, edited and written, and its messages for a person."""
