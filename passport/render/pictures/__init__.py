"""Pictures that somebody takes or sends, made ready for the records."""
