"""Drawings as SVG: the racquet, ornament, codes."""
