"""The ledger of issued addresses: read, added to, repaired."""
