"""Devices in the room: how one is paired with the bench, what it is shown, and how it is forgotten."""
