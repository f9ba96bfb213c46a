"""Confidence: how far the readings may have put a result off, and the chance that a gap is under its need."""
