"""The bench in a browser of this computer: it parses what is asked, calls acts, and shows what they say. It writes nothing."""
