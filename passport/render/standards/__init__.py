"""Standards that a printed document can follow: a print shop's file, an archive's."""
