"""The measuring sheet: which readings to take, each with a small drawing of from where to where, and blanks."""
