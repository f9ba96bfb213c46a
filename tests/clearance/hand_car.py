"""A car whose answer can be worked out by hand: a round can across the car, ahead of a straight pedal arm. Millimetres.

The column runs level and straight ahead. The arm hangs straight down from a pivot across the car; its front face is a
plane ARM_WIDE / 2 ahead of the line from the pivot. The can's axis lies AHEAD of the pivot and BELOW it, so with the
arm at angle t from rest the axis is rho sin(phi - t) from the line: AHEAD = rho sin(phi), BELOW = rho cos(phi).
Nothing is assumed: no side play, no over-travel, no pull at the wheel, and a travel known exactly.
"""

from math import asin, atan2, hypot, sin

from tests.jobs import Tables, at, header, mm

AHEAD, BELOW = 80.0, 150.0
CAN_DIA, ARM_WIDE = 60.0, 20.0
PAD_DOWN, PAD_BACK = 300.0, 12.0
RADIUS = hypot(PAD_DOWN, PAD_BACK)
BESIDE = 48.0
FACETS_PROUD = 0.1  # a round part's corners stand out by at most this


def chord(angle: float) -> float:
    """What a tape reads at the pad for a swing of `angle`."""
    return 2 * RADIUS * sin(angle / 2)


def gap(angle: float) -> float:
    """From the can to the arm's front face, the arm swung by `angle`; negative inside."""
    return hypot(AHEAD, BELOW) * sin(atan2(AHEAD, BELOW) - angle) - (CAN_DIA + ARM_WIDE) / 2


def touch_angle() -> float:
    """Swing at which the front face reaches the can."""
    return atan2(AHEAD, BELOW) - asin((CAN_DIA + ARM_WIDE) / 2 / hypot(AHEAD, BELOW))


def car(full: float, **changes: Tables) -> Tables:
    """The car, its pedal swinging by `full` to full travel; `changes` replace whole tables."""
    gear_long = 60.0
    return {
        "job": header(name="worked out by hand", drive="left"),
        "column": {
            "hub_seat": at(600, 0, 300 - BELOW - BESIDE),
            "down": "0 deg",
            "across": "0 deg",
            "jacket_od": mm(40),
            "jacket_from": mm(50),
            "jacket_to": mm(800),
        },
        "unit": {
            "input_face": mm(600 + AHEAD - gear_long / 2),
            "clock": "9:00",
            "hand": "over",
            "gear_body": {"dia": mm(60), "long": mm(gear_long)},
            "motor": {"dia": mm(CAN_DIA), "long": mm(150), "lies": "square", "beside": mm(BESIDE), "starts": mm(48)},
        },
        "pedals": [
            {
                "name": "clutch",
                "kind": "hanging",
                "pivot": at(0, -120, 300),
                "arm": [{"at": at(0, -120, 40)}],
                "arm_wide": mm(ARM_WIDE),
                "arm_thick": mm(10),
                "pad": {
                    "at": at(PAD_BACK, -120, 0),
                    "wide": mm(50),
                    "high": mm(40),
                    "thick": mm(PAD_BACK),
                    "tilt": "0 deg",
                },
                "travel": f"{chord(full):.9f} mm ± 0 mm",
                "over_travel": "0 mm ± 0 mm",
                "pulled_up": "0 mm ± 0 mm",
                "side_wear": mm(0),
            }
        ],
        "require": {"wheel_pull": mm(0)},
        **changes,
    }
