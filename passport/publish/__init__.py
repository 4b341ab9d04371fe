"""The output folder: what is written, and the swap of old for new. The only writer of the site."""
