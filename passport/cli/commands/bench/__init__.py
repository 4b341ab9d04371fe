"""Commands for what is kept beside the jobs: targets, blanks, instruments, players and what they were told."""
