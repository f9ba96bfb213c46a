"""The page: one HTML file with results and a mock-up to turn, that asks for nothing else."""
