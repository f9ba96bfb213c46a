"""The window: the mock-up to turn, with sliders; the gap is asked anew wherever they stand."""
