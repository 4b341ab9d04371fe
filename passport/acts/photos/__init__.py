"""Photos that go straight into a frame's record: of its condition when it came in, and for its page."""
