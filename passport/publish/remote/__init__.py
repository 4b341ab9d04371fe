"""The site put where the web sees it: what should be there, what is, what has to go there, in which order."""
