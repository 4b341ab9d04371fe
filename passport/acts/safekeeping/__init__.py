"""What keeps a workshop through losses and years: backups, restores, new versions, what nobody needs any more."""
