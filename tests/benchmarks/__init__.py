"""How fast the engine is beside even sampling at the same guarantee: `python -m tests.benchmarks` prints the table."""
