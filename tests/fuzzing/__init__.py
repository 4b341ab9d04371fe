"""Fuzzing: targets as plain functions, whole records made up by their types, and a command that runs them for a time."""
