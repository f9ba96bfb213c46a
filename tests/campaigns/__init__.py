"""Long random comparisons with independent libraries: `python -m tests.campaigns gaps`, and `... jobs`."""
