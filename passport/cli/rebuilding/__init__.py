"""What `rebuild` says and asks in the middle of its work."""
