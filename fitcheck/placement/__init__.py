"""Parts in the car: simplified solids from measured places, and how they move. Car frame, millimetres."""
