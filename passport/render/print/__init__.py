"""Printed pieces: card, tag, sticker, set card, and their sheets for the printer."""
