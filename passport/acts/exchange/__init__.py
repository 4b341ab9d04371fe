"""Setups and histories that come from another workshop, and that go to one."""
