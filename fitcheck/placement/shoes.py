"""Shoe sizes as foot lengths, mm, by the published steps; of two conventions always the one that gives the longer foot.

Mondopoint (ISO 9407) is the foot's length itself. EU counts the last in Paris points of 2/3 cm; UK and US count it in
thirds of an inch (barleycorns of 8.47 mm), UK from 25 thirds, US men from 24, US women from 23 (others use 22.5).
"""

import re

from fitcheck.errors import KeyFault

PARIS_POINT_MM = 20.0 / 3
BARLEYCORN_MM = 25.4 / 3
LAST_LONGER_MM = 10.0  # last over foot, at the least: ISO/TS 19407 allows for 10 to 15 mm
SYSTEMS = {  # step, and how many steps the last has at size 0
    "EU": (PARIS_POINT_MM, 0.0),
    "UK": (BARLEYCORN_MM, 25.0),
    "US men": (BARLEYCORN_MM, 24.0),
    "US women": (BARLEYCORN_MM, 23.0),
}
MONDOPOINT = "Mondopoint"
SHORTEST_MM, LONGEST_MM = 190.0, 360.0  # ANSUR II's shortest foot is 198 mm, its longest 323
HOW = '"EU 44", "UK 9", "US men 10", "US women 8" or "Mondopoint 275"'
_SIZE = re.compile(r"([A-Za-z][A-Za-z ]*?)\s*(\d{1,3}(?:\.5)?|\d{1,2} 1/2)")


def foot_length_mm(size: str) -> float:
    """Length of the foot a shoe of that size is made for, at the most. Raises KeyFault for what is no size."""
    match = _SIZE.fullmatch(size.strip())
    systems = {name.lower(): name for name in (*SYSTEMS, MONDOPOINT)}
    if match is None or match[1].lower() not in systems:
        raise KeyFault(("driver", "shoe_size"), f"'{size}' is no shoe size with its system; write {HOW}")
    system, count = systems[match[1].lower()], float(match[2].replace(" 1/2", ".5"))
    if system == MONDOPOINT:
        length = count
    else:
        step, before = SYSTEMS[system]
        length = (count + before) * step - LAST_LONGER_MM
    if not SHORTEST_MM <= length <= LONGEST_MM:
        raise KeyFault(("driver", "shoe_size"), f"'{size}' is a foot of {length:.0f} mm, no driver's; write {HOW}")
    return length
