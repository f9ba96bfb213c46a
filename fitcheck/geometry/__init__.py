"""Solids, movements and certified gaps. This room knows no car: millimetres, radians and plain names only."""
