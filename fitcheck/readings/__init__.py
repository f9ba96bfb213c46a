"""Readings: every measured number of a job with its key and its spread, and the job with one of them shifted."""
