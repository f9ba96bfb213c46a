"""Clearance: who is judged against whom, what gap is required, and the least gap through every movement."""
