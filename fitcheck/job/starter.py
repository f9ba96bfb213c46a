"""The job file that `fitcheck new` writes: a dozen readings, commented, judged as it stands."""

STARTER = """\
# A job for fitcheck. Every figure here is invented: put your own in its place, one by one.
#
# This is the shortest job that gives an answer: does the unit clear ONE pedal? About a dozen tape readings.
# Lengths are text with their unit: "15 1/2 in", "394 mm". A reading may say how good it is: "394 mm +/- 2 mm".
# back / forward, left / right and up / down are the car's directions as the driver sees them.

[job]
name = "My car"
drive = "left"                      # side the driver sits on
show = "in"                         # print "in" (with mm beside) or "mm"
datum = "centre-punch on the firewall, below the column"   # a mark you can touch with the column in and out
sat = "level"                       # or { sill_angle = "0.4 deg nose up", cross_angle = "level" }

[column]
# Readings 1-3: back, left and up of the face the wheel's hub seats on, at the column's centre.
hub_seat = { back = "25 1/16 in", left = "1/2 in", up = "15 11/16 in" }
# Reading 4: a second place on the column, as far down as you can reach; here to the jacket's underside.
low = { back = "3 1/4 in", left = "1/16 in", up = "2 15/16 in", side = "underside" }
# Or by angle gauge, and the slant across the car in plan:  down = "28 deg"  and  across = "1.2 deg"
# Reading 5: caliper on the jacket.
jacket_od = "2 in"
# Where the jacket begins and ends, along from the hub seat.
jacket_from = "2 3/8 in"
jacket_to = "28 in"

[unit]
# Reading 6: where the unit's face toward the wheel is wanted, along from the hub seat.
input_face = "17 in"
clock = "10:45"                     # where the motor's far end points, seen from the seat; 12:00 is up
library = "unit"                    # a generic unit; give your own from the bench instead:
# hand = "over"                     # does the can pass over or under the column when it points to 9:00?
# gear_body = { dia = "100 mm", long = "90 mm" }
# sensor = { dia = "68 mm", long = "80 mm" }
# motor = { dia = "76 mm", long = "130 mm", lies = "square", beside = "48 mm", starts = "48 mm" }

[[pedals]]
name = "clutch"
kind = "hanging"                    # or "floor-hinged"
# Readings 7-8: the pivot, back and up.
pivot = { back = "6 1/2 in", up = "9 3/16 in" }
# Reading 9: the arm's front edge where it passes the column, pedal at rest.
arm = [{ at = { back = "7 1/2 in", left = "3 3/4 in", up = "5 3/4 in" }, edge = "front" }]
arm_wide = "1 1/8 in"
arm_thick = "5/16 in"
# Reading 10: the pad's travel, straight from its centre at rest to its centre on the stop or the carpeted floor.
travel = "5 1/2 in"

[pedals.pad]
# Readings 11-12: the centre of the pad's face, pedal at rest.
at = { back = "12 5/8 in", left = "4 in", down = "1 3/8 in" }
wide = "2 3/8 in"
high = "2 1/8 in"
thick = "1/2 in"

# Next: [bracket], [driver], the other [[pedals]], [[obstacles]], [reach]. The answer says what was not looked at.
# A geometric aid, not an approval. Measure again before cutting.
"""


def starter_text() -> str:
    """The starter job, TOML."""
    return STARTER
