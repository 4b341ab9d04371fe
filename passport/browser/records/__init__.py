"""Every record as a form, generated from its description."""
