"""The named faces along the column and every reading of the job that ties two of them: the chain the cut list rests on.

Millimetres along the column, positive away from the driver. Where the job holds a length twice (taped in the car and
read on the bench), both are links: the surer carries, the other checks it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from fitcheck.cuts.chain import Chain, Link, Untaken
from fitcheck.job.cutting import Cuts
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.remedies import spelled
from fitcheck.readings.survey import readings

Path = tuple[str | int, ...]

HUB_SEAT, SHAFT_TOP, SHAFT_END = "hub seat", "shaft top", "shaft end"
JACKET_TOP, JACKET_END = "jacket top", "jacket end"
INPUT_FACE, OUTPUT_FACE = "unit input face", "unit output face"
INPUT_MOUTH, INPUT_BOTTOM = "input bore mouth", "input bore bottom"
OUTPUT_MOUTH, OUTPUT_BOTTOM = "output bore mouth", "output bore bottom"
COLLAR_SHOULDER = "collar shoulder"
LOWER_MOUTH, LOWER_SHOULDER = "lower collar mouth", "lower collar shoulder"
FIREWALL = "firewall sheet"
CLAMP_TOP, CLAMP_END = "bracket clamp, wheel edge", "bracket clamp, rack edge"
PLACE_KEY = "unit.input_face"

# The bench's readings: (path in the job, face, face, what to measure). The second face lies beyond the first.
_BENCH = (
    (("bench", "hub_seat_to_jacket_top"), HUB_SEAT, JACKET_TOP, "from the hub seat down to the jacket's top end"),
    (("bench", "jacket_overall"), JACKET_TOP, JACKET_END, "the jacket from end to end"),
    (("bench", "shaft_stick_out"), JACKET_END, SHAFT_END, "how far the shaft stands out of the jacket's lower end"),
    (("bench", "shaft_overall"), SHAFT_TOP, SHAFT_END, "the shaft from end to end"),
    (("bench", "hub_seat_to_shaft_top"), SHAFT_TOP, HUB_SEAT, "from the hub seat up to the shaft's top end"),
    (("unit", "face_to_face"), INPUT_FACE, OUTPUT_FACE, "the unit from input face to output face"),
    (("unit", "input_depth"), INPUT_FACE, INPUT_BOTTOM, "from the unit's input face to the bottom of its bore"),
    (("unit", "output_depth"), OUTPUT_BOTTOM, OUTPUT_FACE, "from the unit's output face to the bottom of its bore"),
    (("unit", "collar_depth"), INPUT_FACE, COLLAR_SHOULDER, "from the unit's input face to its collar's shoulder"),
    (("unit", "lower_collar_mouth"), INPUT_FACE, LOWER_MOUTH, "from the unit's input face to its lower collar's mouth"),
    (("unit", "lower_collar_depth"), LOWER_SHOULDER, LOWER_MOUTH, "from the lower collar's mouth to its shoulder"),
    (("firewall", "along"), HUB_SEAT, FIREWALL, "from the hub seat to the firewall along the column"),
)  # fmt: skip
_MOUTHS = ((("unit", "input_mouth"), INPUT_FACE, INPUT_MOUTH), (("unit", "output_mouth"), OUTPUT_MOUTH, OUTPUT_FACE))


@dataclass(frozen=True)
class Readings:
    """The job's lengths as links: each with its key and its spread, stated or by its tool."""

    spreads: dict[Path, float]

    @classmethod
    def of(cls, job: Job) -> "Readings":
        """All of the job's readings."""
        return cls({reading.path: reading.spread for reading in readings(job)})

    def spread(self, path: Path) -> float:
        """Spread of the reading at `path`, mm; 0 for a figure that is wanted, not measured."""
        return self.spreads.get(path, 0.0)

    def link(self, path: Path, length: Length, start: str, end: str) -> Link:
        """`end` lies `length` beyond `start`."""
        return Link(spelled(path), start, end, length.mm, self.spread(path))


def column_chain(job: Job, cuts: Cuts, read: Readings) -> Chain:
    """Every face of the column, the unit, zones and fixed bodies that the job ties to another."""
    links = (*_bench(cuts, read), *_in_the_car(job, read), *_unit(job, read), *_extras(job, cuts, read))
    return Chain(links, tuple(_untaken(cuts)), HUB_SEAT)


def mark_face(name: str) -> str:
    """The face of a named mark of the column."""
    return HUB_SEAT if name == "hub_seat" else f"mark {name}"


def zone_faces(index: int) -> tuple[str, str]:
    """Where the zone of that index starts and ends."""
    return f"zone {index + 1} start", f"zone {index + 1} end"


def kept_face(index: int) -> str:
    """Lower end of what must stay where it is."""
    return f"kept {index + 1}"


def ahead_face(name: str) -> str:
    """A fixed body ahead of the unit."""
    return f"ahead {name}"


def _bench(cuts: Cuts, read: Readings) -> Iterator[Link]:
    for (table, key), start, end, _ in _BENCH:
        length = getattr(getattr(cuts, table), key, None)
        if length is not None:
            yield read.link(("cuts", table, key), length, start, end)
    for (table, key), start, end in _MOUTHS:
        length = getattr(getattr(cuts, table), key)
        if length is None:
            yield Link(f"cuts.{table}.{key}, taken as 0", start, end, 0.0, 0.0)
        else:
            yield read.link(("cuts", table, key), length, start, end)


def _untaken(cuts: Cuts) -> Iterator[Untaken]:
    for (table, key), start, end, measure in _BENCH:
        if getattr(getattr(cuts, table), key, None) is None:
            yield Untaken(f"cuts.{table}.{key}", start, end, measure)


def _in_the_car(job: Job, read: Readings) -> Iterator[Link]:
    column = job.column
    yield read.link(("column", "jacket_from"), column.jacket_from, HUB_SEAT, JACKET_TOP)
    yield read.link(("column", "jacket_to"), column.jacket_to, HUB_SEAT, JACKET_END)
    if column.shaft_to is not None:
        yield read.link(("column", "shaft_to"), column.shaft_to, HUB_SEAT, SHAFT_END)
    for name, mark in column.marks.items():
        yield read.link(("column", "marks", name, "along"), mark.along, HUB_SEAT, mark_face(name))


def _unit(job: Job, read: Readings) -> Iterator[Link]:
    """Its place, and its solids end to end where all three are given."""
    unit = job.unit
    yield read.link(("unit", "input_face"), unit.input_face, mark_face(unit.along_from), INPUT_FACE)
    if unit.sensor is not None and unit.gear_body is not None and unit.output is not None:
        yield read.link(("unit", "sensor", "long"), unit.sensor.long, INPUT_FACE, "gear body, wheel end")
        yield read.link(
            ("unit", "gear_body", "long"), unit.gear_body.long, "gear body, wheel end", "gear body, rack end"
        )
        yield read.link(("unit", "output", "long"), unit.output.long, "gear body, rack end", OUTPUT_FACE)


def _extras(job: Job, cuts: Cuts, read: Readings) -> Iterator[Link]:
    for i, zone in enumerate(cuts.zones):
        start, end = zone_faces(i)
        yield read.link(("cuts", "zones", i, "starts"), zone.starts, zone.measured_from, start)
        yield read.link(("cuts", "zones", i, "ends"), zone.ends, zone.measured_from, end)
    for i, kept in enumerate(cuts.kept):
        yield read.link(("cuts", "kept", i, "along"), kept.along, HUB_SEAT, kept_face(i))
    if cuts.stroke is not None:
        for i, body in enumerate(cuts.stroke.ahead):
            yield read.link(("cuts", "stroke", "ahead", i, "along"), body.along, HUB_SEAT, ahead_face(body.name))
    clamp = None if job.bracket is None else job.bracket.clamp
    if clamp is not None:
        yield read.link(("bracket", "clamp", "along"), clamp.along, HUB_SEAT, CLAMP_TOP)
        yield read.link(("bracket", "clamp", "wide"), clamp.wide, CLAMP_TOP, CLAMP_END)
