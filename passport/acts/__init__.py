"""What can be done at the bench: one function an act, from what was said to a change and what follows from it.

Knows no terminal: what goes wrong is raised with a text for a person, and the caller asks and shows.
"""
