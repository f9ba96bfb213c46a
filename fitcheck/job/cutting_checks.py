"""Sizes of [cuts] that cannot go together: a bar with a bore as wide as itself, two bores longer than the unit. mm."""

from collections.abc import Iterator

from fitcheck.job.cutting import Cuts, UnitEnds
from fitcheck.job.lengths import Length
from fitcheck.job.model import Job
from fitcheck.job.sheet_metal import Firewall

Path = tuple[str | int, ...]
Complaint = tuple[Path, str]
ABOUT_MM = 0.5  # two calipers on one tube


def cutting_checks(job: Job) -> Iterator[Complaint]:
    """Every size under [cuts] that another reading of the job says cannot be."""
    if job.cuts is not None:
        yield from _bores(job.cuts.unit)
        yield from _bench(job.cuts)
        if job.column.shaft_od is not None:
            yield from _against_shaft(job.cuts, job.column.shaft_od)
        yield from _passes(job.cuts, job)
        if job.cuts.below == "shaft alone":
            yield from _no_lower_jacket(job.cuts)


def _bores(unit: UnitEnds) -> Iterator[Complaint]:
    pairs = (("input_mouth", "input_depth"), ("output_mouth", "output_depth"), ("input_depth", "face_to_face"))
    for less, more in (*pairs, ("output_depth", "face_to_face")):
        near, far = getattr(unit, less), getattr(unit, more)
        if near is not None and far is not None and not near.mm < far.mm:
            yield ("cuts", "unit", less), f"{near.text} is not less than {more} ({far.text}); check both"
    into, out, whole = unit.input_depth, unit.output_depth, unit.face_to_face
    if into is not None and out is not None and whole is not None and not into.mm + out.mm < whole.mm:
        said = f"bores {into.text} and {out.text} deep do not go into a unit {whole.text} long"
        yield ("cuts", "unit", "face_to_face"), f"{said}; check the three"


def _bench(cuts: Cuts) -> Iterator[Complaint]:
    top, whole = cuts.bench.hub_seat_to_shaft_top, cuts.bench.shaft_overall
    if top is not None and whole is not None and not top.mm < whole.mm:
        yield (
            ("cuts", "bench", "hub_seat_to_shaft_top"),
            f"{top.text} of the shaft above the hub seat, but it is {whole.text} long; check both",
        )


def _against_shaft(cuts: Cuts, shaft: Length) -> Iterator[Complaint]:
    if cuts.bar is not None and cuts.bar.bore is not None and not cuts.bar.bore.mm < shaft.mm:
        said = f"a bore of {cuts.bar.bore.text} does not go into a shaft of {shaft.text}"
        yield ("cuts", "bar", "bore"), f"{said}; check it against column.shaft_od"
    for i, fixing in enumerate(cuts.fixings):
        if fixing.piece.endswith("shaft") and not fixing.dia.mm < shaft.mm:
            said = f"a {fixing.what} of {fixing.dia.text} is as thick as the shaft it holds ({shaft.text})"
            yield ("cuts", "fixings", i, "dia"), f"{said}; check it"


def _passes(cuts: Cuts, job: Job) -> Iterator[Complaint]:
    """What passes the sheet is the shaft, or the jacket where that reaches the sheet."""
    sheet = cuts.firewall
    if sheet is None:
        return
    path: Path = ("cuts", "firewall", "passes_dia")
    shaft, jacket = job.column.shaft_od, job.column.jacket_od
    if shaft is not None and sheet.passes_dia.mm < shaft.mm - ABOUT_MM:
        yield path, f"{sheet.passes_dia.text} is less than the shaft, {shaft.text}; write what is to pass the sheet"
    elif _jacket_too(job, sheet) and sheet.passes_dia.mm < jacket.mm - ABOUT_MM:
        yield (
            path,
            (
                f"the jacket ({jacket.text}) reaches {job.column.jacket_to.text} from the hub seat, past the sheet, "
                f"and does not pass {sheet.passes_dia.text}; write the jacket's diameter, or check both"
            ),
        )


def _jacket_too(job: Job, sheet: Firewall) -> bool:
    """Whether the jacket, and not the shaft alone, goes through the sheet."""
    return sheet.along is not None and job.column.jacket_to.mm > sheet.along.mm


def _no_lower_jacket(cuts: Cuts) -> Iterator[Complaint]:
    """What was done to a jacket that is not there."""
    said = 'cuts.below says "shaft alone", so there is no lower jacket; take this out, or write "jacket in a collar"'
    if cuts.done.lower_jacket is not None:
        yield ("cuts", "done", "lower_jacket"), said
    for i, fixing in enumerate(cuts.fixings):
        if fixing.piece == "lower jacket":
            yield ("cuts", "fixings", i, "piece"), said
