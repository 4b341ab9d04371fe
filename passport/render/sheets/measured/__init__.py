"""What is drawn to a scale on sheets, with rulers and figures."""
