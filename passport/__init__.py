"""Racquet passport: records of a workshop in, customer pages and printed cards out."""

__version__ = "0.1.0"
