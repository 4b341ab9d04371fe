"""Spreadsheets as they are kept elsewhere, read into plain cells: nothing is worked out, nothing is followed."""
