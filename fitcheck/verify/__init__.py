"""The independent check of a proof: numpy and the standard library alone, and not a line shared with what wrote it.

Everything a proof states is worked out anew: readings, points, vertices, movements, bounds, witnesses and words.
Millimetres and radians, the car's frame (back, right, up).
"""

import hashlib
from collections import Counter
from collections.abc import Callable, Iterator
from math import floor
from typing import Any

from fitcheck.verify.around import tie_surroundings
from fitcheck.verify.bodies import Part
from fitcheck.verify.carried import tie_groups
from fitcheck.verify.form import Refused, read
from fitcheck.verify.on_column import tie_column
from fitcheck.verify.pairs import Role, Shown, every_pair, roles
from fitcheck.verify.readings import Readings, spelled
from fitcheck.verify.ties import Ties

NOT_COVERED = (
    "What no proof covers: that the car is as it was measured, that nothing flexes or wears on, that a box is like the "
    "real casting."
)
Beside = Callable[[str], bytes | None]
__all__ = ["NOT_COVERED", "Refused", "verify"]


def verify(content: bytes, beside: Beside = lambda name: None, job: bytes | None = None) -> list[str]:
    """What the proof in `content` proves, line by line; Refused with the reason where anything is not as it says.

    `beside` yields the bytes of a file by the name it has in the proof, the job's or a mesh's, None where it is not at
    hand, and `job` those of the job file whatever it is called; what is at hand must have the digest stated.
    """
    try:
        proof = read(content)
        if job is not None:
            named, rest = proof["job"]["file"], beside
            beside = lambda name: job if name == named else rest(name)  # noqa: E731
        return list(_verified(proof, beside))
    except (LookupError, TypeError, ValueError, AttributeError, ArithmeticError, RecursionError) as error:
        # A job text that is no job: its tables are taken as they come.
        raise Refused(
            f"the job's text or a number is not of the kind needed: {type(error).__name__}: {error}"
        ) from None


def _verified(proof: dict[str, Any], beside: Beside) -> Iterator[str]:
    readings = Readings(proof["job"], proof["keys"])
    at_hand = _files(proof, readings, beside)
    known = roles(readings.job)
    placed = _placed(proof, known)
    ties = Ties(readings)
    tie_column(ties, proof["frames"], placed)
    tie_surroundings(ties, placed)
    tie_groups(ties, placed)
    shown = every_pair(proof["pairs"], known, placed, readings)
    yield f"job {proof['job']['file']}, sha256 {proof['job']['sha256']}: {at_hand}"
    yield from _readings_told(readings)
    yield from _ties_told(ties)
    yield from _pairs_told(shown, proof["unplaced"])
    yield from _left_open(shown)
    yield NOT_COVERED


def _files(proof: dict[str, Any], readings: Readings, beside: Beside) -> str:
    """Digests of the job and of the files it names, where they are at hand."""
    named = {entry["name"] for entry in proof["files"]}
    if len(named) < len(proof["files"]) or named != set(_meshes(readings.job)):
        raise Refused("files: not the mesh files that the job names, each once")
    missing = []
    for name, digest in [(proof["job"]["file"], proof["job"]["sha256"])] + [
        (entry["name"], entry["sha256"]) for entry in proof["files"]
    ]:
        there = beside(name)
        if there is None:
            missing.append(name)
        elif hashlib.sha256(there).hexdigest() != digest:
            raise Refused(f"{name}: it is not the file that this proof is about, its digest differs")
    return f"not at hand, so not compared: {', '.join(missing)}" if missing else "the same as the file at hand"


def _meshes(value: Any) -> Iterator[str]:
    if isinstance(value, dict):
        if isinstance(value.get("mesh"), str):
            yield value["mesh"]
        for item in value.values():
            yield from _meshes(item)
    elif isinstance(value, list):
        for item in value:
            yield from _meshes(item)


def _placed(proof: dict[str, Any], known: dict[str, Role]) -> dict[str, Part]:
    """The parts by name; with the unplaced, they are those of the job, each once."""
    parts = [Part(part, f"parts[{i}] {part['name']}") for i, part in enumerate(proof["parts"])]
    names = [part.name for part in parts] + [entry["name"] for entry in proof["unplaced"]]
    if len(names) != len(set(names)) or set(names) != set(known):
        wrong = sorted(set(names) ^ set(known)) or sorted(name for name, n in Counter(names).items() if n > 1)
        raise Refused(f"parts: not those of the job, each once: {', '.join(wrong)}")
    return {part.name: part for part in parts}


def _readings_told(readings: Readings) -> Iterator[str]:
    yield "readings the proof carries: key, line, text, mm, and whether the geometry was held against it"
    for key in readings.keys:
        tied = "held" if tuple(key["path"]) in readings.used else "not held"
        yield f"  {spelled(tuple(key['path']))}  line {key['line']}  {key['text']}  {key['mm']:.4f} mm  {tied}"


def _ties_told(ties: Ties) -> Iterator[str]:
    yield f"worked out anew from these and within 0.01 mm: {'; '.join(dict.fromkeys(ties.done))}"
    yield f"not worked out anew, taken as stated: {'; '.join(dict.fromkeys(ties.loose)) or 'nothing'}"


def _pairs_told(shown: list[Shown], unplaced: list[dict[str, str]]) -> Iterator[str]:
    yield "proven, through the whole of every movement"
    for entry in shown:
        names = f"  {entry.a} - {entry.b}: "
        if entry.result == "hits":
            yield f"{names}hits: a place is shown where both have a point in common"
        elif entry.kind == "judged":
            room = f"at least {floor(entry.bound_mm * 100) / 100:.2f} mm, no more than {entry.witness_mm:.2f} mm"
            yield f"{names}{entry.result}: {room}; required {entry.required_mm:g} mm"
    yield "not proven, with the reason"
    for entry in shown:
        if entry.kind != "judged":
            yield f"  {entry.a} - {entry.b}: {entry.kind}: {entry.reason}"
    for part in unplaced:
        yield f"  {part['name']} has no place yet: {part['reason']}"


def _left_open(shown: list[Shown]) -> Iterator[str]:
    """Pairs that need a gap of which this proof says nothing: "verified" is no word about those."""
    open_ = [f"{entry.a} - {entry.b}" for entry in shown if entry.kind in ("not known", "not covered")]
    if open_:
        yield f"a gap is required, and none is proven here: {', '.join(open_)}"
