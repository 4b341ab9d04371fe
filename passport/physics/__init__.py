"""Pure functions on numbers: units, moments, pendulum, string bed, ageing, uncertainty.

Knows no records, does no I/O.
"""
