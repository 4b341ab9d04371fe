"""The table of a shop's past turned into players, frames and jobs: what is certain, and what a person must decide. Pure."""
