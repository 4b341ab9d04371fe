"""Facts to bytes: HTML, charts, QR codes, PDF cards, calendar files, JSON. Pure."""
