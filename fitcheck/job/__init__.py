"""The measured file: read, checked, every fault named with its line; lengths and angles as people write them."""
