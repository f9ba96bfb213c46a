"""The saloon example against a second placing by hand, with exact round solids and true turns.

Source of the distances: coal 3, the convex distance library of the pinocchio project. Placing and movements: `by_hand`
and `by_hand_driven`, from the job file's own figures by the formulas stated there.
"""

from functools import cache

import numpy as np
import pytest

from fitcheck.placement.column import ColumnAxis
from fitcheck.placement.scene import Part
from tests.reference import by_hand, by_hand_driven
from tests.verdicts import judged_example

NAME = "saloon-9-00"
JOB = by_hand.read(NAME)
COLUMN = by_hand.Column(JOB)
ASSIST = by_hand.Assist(JOB, COLUMN)
STILL = by_hand.still_parts(JOB)
DRIVEN = by_hand_driven.driven(JOB)
