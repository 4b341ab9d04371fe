"""From what a person says to records: jobs from text, tables, search."""
