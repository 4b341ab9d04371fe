"""Dialogues that several commands share: what is there already, what is new."""
