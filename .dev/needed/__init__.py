"""What the tests need of the system, held against what ``.dev/prepare`` installs."""
