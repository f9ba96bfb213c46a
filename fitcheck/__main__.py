"""`python -m fitcheck` is the `fitcheck` command."""

from fitcheck.cli import main

main()
