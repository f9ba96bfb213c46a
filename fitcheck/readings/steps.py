"""Moving readings a little, to see what follows: how large a step is, and how many sigmas a spread stands for."""

from fitcheck.readings.reading import SIGMAS_95, Reading

__all__ = ["SIGMAS_95", "STEP_MM", "STEP_RAD", "step_of"]
STEP_MM = 0.1
STEP_RAD = 1e-4


def step_of(reading: Reading) -> float:
    """By how much a reading is moved to see what follows: mm, or rad where it is an angle."""
    return STEP_RAD if reading.is_angle else STEP_MM
