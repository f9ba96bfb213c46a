"""Moving readings a little, to see what follows: how large a step is, and how many sigmas a spread stands for."""

from fitcheck.readings.survey import Reading

SIGMAS_95 = 1.959963984540054  # two-sided 95 % of the normal distribution
STEP_MM = 0.1
STEP_RAD = 1e-4


def step_of(reading: Reading) -> float:
    """By how much a reading is moved to see what follows: mm, or rad where it is an angle."""
    return STEP_RAD if reading.is_angle else STEP_MM
