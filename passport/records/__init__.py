"""YAML text to immutable typed records that remember file and line; checks; errors. Never writes."""
