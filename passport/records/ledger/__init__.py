"""The ledger of issued addresses: read, added to, repaired; and what tells of it when it is lost."""
