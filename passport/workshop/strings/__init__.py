"""String beds: their tension, how it ages, when to restring."""
