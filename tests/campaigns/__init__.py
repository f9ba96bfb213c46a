"""Long random comparisons with independent libraries: `python -m tests.campaigns gaps --pairs 1000000`."""
