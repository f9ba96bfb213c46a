"""Where a picture may be taken from; kept apart from the pictures, whose libraries are slow to load."""

from enum import StrEnum


class View(StrEnum):
    """Where a picture is taken from."""

    DRIVER = "driver"
    SIDE = "side"
    PLAN = "plan"
    UNDER_DASH = "under-dash"
