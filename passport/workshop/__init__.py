"""What is worked out from records: what holds now, facts for the pages, plans. Pure."""
