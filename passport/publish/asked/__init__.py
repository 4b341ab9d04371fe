"""The web asked what it really serves: what should be there, what should not, and how it is served."""
