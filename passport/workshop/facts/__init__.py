"""Facts: what a page, a card or a chart says, as plain values with no way back to the records."""
