"""Plans from records that lack something: a swingweight that nobody took, places that nobody named, a model no longer made."""
