"""The job file that `fitcheck new` writes: a dozen readings, commented, judged as it stands; and the next rungs.

The rungs (pedals, bracket, boots and legs, obstacles, cuts, shaft, reaching in) stand there as comments: without
their `#` the file still checks, each alone or all together.
"""

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
# Nothing measured yet? Say how far your figures may be off, then: fitcheck readings JOB --plan
# guessed = { places = "30 mm", sizes = "6 mm", angles = "5 deg" }

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
# For rungs 5 and 6: caliper on the steering shaft; and where its lower end lies once all is in.
# shaft_od = "3/4 in"
# shaft_to = "30 1/2 in"

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

"""

RUNGS = """\
# ---- rung 1: the other pedals ----
[[pedals]]
name = "brake"
kind = "hanging"
pivot = { back = "6 1/2 in", up = "9 3/16 in" }
arm = [{ at = { back = "8 in", right = "4 1/2 in", up = "6 in" }, edge = "front" }]
arm_wide = "1 1/8 in"
arm_thick = "5/16 in"
boss_dia = "1 1/2 in"               # the round eye at the pivot; without it the arm ends there square
# Its travel: to its stop or the carpeted floor, a bleeder open, a helper watching the hose end in its jar.
# Close the bleeder, bleed and test the brakes before the car moves.
travel = "4 7/8 in"
pad = { at = { back = "12 1/4 in", right = "2 3/4 in", down = "7/8 in" }, wide = "2 3/4 in", high = "2 1/8 in", thick = "1/2 in" }

[[pedals]]
name = "throttle"
kind = "hanging"
pivot = { back = "4 3/4 in", up = "8 1/4 in" }
arm = [{ at = { back = "6 5/16 in", right = "6 5/8 in", up = "4 3/4 in" }, edge = "front" }, { at = { back = "9 3/8 in", right = "7 in", down = "1 in" }, edge = "front" }]
arm_wide = "9/16 in"
arm_thick = "1/4 in"
travel = "2 3/16 in"
pad = { at = { back = "9 1/2 in", right = "7 in", down = "1 1/4 in" }, wide = "1 3/4 in", high = "3 1/2 in", thick = "1/2 in" }

# ---- rung 2: bracket ----
[bracket]
turns = "stays with the car"        # or "with the unit"
clamp = { along = "15 in", wide = "1 1/4 in", thick = "3/16 in" }    # the ring round the jacket

[bracket.solids]                    # its legs and plates, each by a name of yours
left_leg = { through = [{ back = "10 3/4 in", left = "1 1/4 in", up = "8 1/4 in" }, { back = "10 1/4 in", left = "2 3/8 in", up = "13 in" }], dia = "3/4 in" }
right_leg = { through = [{ back = "10 3/4 in", right = "7/8 in", up = "8 1/4 in" }, { back = "10 1/4 in", right = "2 in", up = "13 in" }], dia = "3/4 in" }

# ---- rung 3: boots and legs; needs the pedals of rung 1 ----
[driver]
foot = "men 95"                     # or foot_length, foot_breadth and ball_length of your own foot
left_foot = { heel = { back = "16 1/2 in", left = "8 1/2 in", down = "8 1/4 in" }, ball = { back = "8 7/8 in", left = "9 1/4 in", down = "4 3/4 in" } }    # at rest beside the clutch

[[driver.boots]]
on = "clutch"
heel = { back = "17 in", down = "8 1/4 in" }    # where it stands on the floor
knee = { back = "20 7/8 in", left = "5 1/2 in", up = "12 5/8 in", side = "front" }    # seated, foot on the pedal at rest
knee_at_full = { back = "19 1/8 in", left = "5 1/8 in", up = "9 1/4 in", side = "front" }    # the same, pedal pressed

[[driver.boots]]
on = "brake"
heel = { back = "16 1/2 in", down = "8 1/4 in" }
knee = { back = "20 7/8 in", right = "4 1/8 in", up = "12 3/8 in", side = "front" }
knee_at_full = { back = "18 3/4 in", right = "4 in", up = "7 7/8 in", side = "front" }

[[driver.boots]]
on = "throttle"
heel = { back = "14 5/8 in", down = "8 1/4 in" }
knee = { back = "20 1/2 in", right = "7 1/4 in", up = "12 in", side = "front" }
knee_at_full = { back = "19 1/4 in", right = "7 1/4 in", up = "9 1/2 in", side = "front" }

# ---- rung 4: obstacles, one table each ----
[[obstacles]]
name = "dash rail"                  # a tube, loom, cable or exhaust: places on its centre line
shape = { through = [{ back = "17 in", left = "20 in", up = "17 in" }, { back = "17 in", right = "20 in", up = "17 in" }], dia = "1 1/4 in" }

[[obstacles]]
name = "fuse panel"                 # a box: two corners diagonally opposite
shape = { corner = { back = "0 in", left = "10 5/8 in", up = "7 in" }, opposite = { back = "2 in", left = "7 in", up = "12 in" } }

[[obstacles]]
name = "throttle cable"             # a cable or loom that stays where it lies; what swings is a pedal, pushrod or z-bar
soft = true
shape = { through = [{ back = "0 in", right = "6 5/8 in", up = "14 in" }, { back = "4 in", right = "6 5/8 in", up = "11 in" }], dia = "5/16 in" }

# ---- rung 5: cuts, read on the bench ----
[cuts]
column_kind = "plain"               # or "energy-absorbing"
below = "jacket in a collar"        # or "shaft alone", where no jacket goes on below the unit
bores_apart = "0 deg"               # the unit's output bore against its input bore

[cuts.bench]
hub_seat_to_jacket_top = "2 3/8 in"
jacket_overall = "25 5/8 in"
shaft_stick_out = "2 1/2 in"
shaft_overall = "32 in"
hub_seat_to_shaft_top = "1 1/2 in"

[cuts.unit]                         # all from its input face, but for the depth of the output bore
face_to_face = "8 1/4 in"
input_depth = "1 3/16 in"
output_depth = "1 1/4 in"
collar_depth = "1 3/16 in"
lower_collar_mouth = "7 11/16 in"
lower_collar_depth = "1 in"

[cuts.fits]                         # bands from the maker of the unit
upper_jacket = { engagement = ["3/4 in", "1 1/8 in"] }
upper_shaft = { engagement = ["1 in", "1 1/8 in"], end_gap = ["1/16 in", "3/16 in"] }
lower_jacket = { engagement = ["5/8 in", "1 in"] }
lower_shaft = { engagement = ["1 in", "1 3/16 in"], end_gap = ["1/16 in", "3/16 in"] }

[cuts.saw]
kind = "bandsaw"
kerf = "1/32 in"                    # measured in scrap
trim_square = "1/64 in"             # how square the last face is dressed

[cuts.bar]
kind = "double-D"

[[cuts.fixings]]
piece = "upper shaft"
what = "set screw"
from_mouth = "1/2 in"               # from the mouth of the bore to its centre
dia = "5/16 in"

[[cuts.zones]]
name = "lock housing"               # whatever must not be cut or clamped; collapses = true for a collapsing section
measured_from = "jacket top"
starts = "0 in"
ends = "2 in"

[cuts.firewall]                     # the hole that column or shaft passes through
slope = "90 deg"                    # how steeply firewall or toe-board rises there; 90 deg is upright
along = "28 3/8 in"                 # where the column's axis meets it, along from the hub seat
passes_dia = "2 in"                 # what goes through
thick = "1/16 in"
bolts = { count = 3, circle = "4 in", dia = "1/4 in", first = "12:00", plate = "5 3/8 in" }

# An energy-absorbing column only (its section is a zone with collapses = true): what it can shorten by.
# [cuts.stroke]
# before = "3 3/4 in"               # by itself; rooms and ahead: with the unit in place
# rooms = [{ name = "mesh section", room = "3 7/8 in" }]    # how far each pair can go until it bottoms
# ahead = [{ name = "lower bearing plate", along = "32 in" }]    # fixed bodies that the unit would run on to

[[cuts.kept]]
name = "cancel cam"                 # what has to stay on jacket or shaft; its lower end, from the hub seat
on = "shaft"
along = "3/4 in"

# ---- rung 6: intermediate shaft ----
[shaft.upper]
joint_along = "31 3/32 in"          # first joint's centre, down the column from the hub seat

[shaft.lower]
joint_at = { forward = "17 1/4 in", left = "3 3/4 in", down = "10 5/8 in" }    # last joint's centre
down = "18 deg"                     # the box input by gauge, wheel to rack
across = "-4 deg"                   # its lower end to the driver's left
moves = "0 in"                      # how far it moves against the column each way; a body on rubbers moves
sticks_out = "1 1/4 in"             # the box's input: how far it stands out of the box for the joint

[[shaft.joints]]
name = "upper joint"
swing = "1 11/32 in"                # largest diameter it sweeps
wheel_hub = { to_end = "1 9/16 in", bore = "1 in", held_by = "set screw", screw = "1/2 in" }
rack_hub = { to_end = "1 9/16 in", bore = "1 in", held_by = "through bolt", screw = "1/2 in" }

[[shaft.joints]]
name = "lower joint"
swing = "1 11/32 in"
wheel_hub = { to_end = "1 9/16 in", bore = "1 in", held_by = "set screw", screw = "1/2 in" }
rack_hub = { to_end = "1 9/16 in", bore = "1 in", held_by = "set screw", screw = "1/2 in" }

[[shaft.pieces]]
name = "telescoping shaft"
wheel_end = { kind = "spline", teeth = 36 }
rack_end = { kind = "double-D" }
dia = "3/4 in"
over_flats = "9/16 in"
telescope = { solid_toward = "rack", tube_od = "1 in" }

# ---- rung 7: reaching in; needs the bracket of rung 2 ----
[reach]
dash_edge = { up = "14 in" }        # lower edge of the dash above the unit

[reach.way_out]                     # how the unit comes out, straight moves, first one first; the way in is its reverse
off = ["bracket"]                   # what is taken off first; with bracket = "goes along" it comes out with the unit
moves = [{ down = "9 1/4 in" }, { left = "11 in" }, { back = "13 3/4 in" }]

[[reach.rooms]]
name = "hand on the clamp bolt"
kind = "hand"                       # or "spanner", or "connector" for one that is drawn off
of = "bracket"                      # or "unit": what the hand works on
at = { along = "16 in", out = "2 1/2 in", out_from = "skin", clock = "6:00" }      # the screw
toward = { along = "12 in", out = "2 1/2 in", out_from = "skin", clock = "6:00" }  # the side the hand comes from
"""  # noqa: E501
BETWEEN = """
# ---- Further rungs. Take the "# " off the lines you have readings for; the answer says what is still missing. ----
# Every figure is invented, like those above.
#
"""
END = """\
#
# A geometric aid, not an approval. Measure again before cutting.
"""


def starter_text() -> str:
    """The starter job, TOML."""
    rungs = "".join(f"# {line}".rstrip() + "\n" for line in RUNGS.splitlines())
    return STARTER.rstrip("\n") + "\n" + BETWEEN + rungs + END
