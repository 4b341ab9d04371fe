"""Rebuilding and matching: from records to a solved problem to a plan that can be carried out."""
