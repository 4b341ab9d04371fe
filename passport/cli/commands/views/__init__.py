"""Commands that show or print, and change nothing."""
