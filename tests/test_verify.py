"""A proof is checked by code that shares nothing with what wrote it: what is true is accepted, what was touched not."""

import json
import math
from collections.abc import Callable

import pytest

from fitcheck.verify import NOT_COVERED, Refused, verify
from tests import proofs
from tests.jobs import EXAMPLES
from tests.proofs import Table, key, pair, part, piece

CAR, STRUCK = "saloon-10-45", "saloon-9-00"
Tamper = Callable[[Table], object]


def leaf(proof: Table) -> Table:
    """A leaf of a pair in which the other part swings."""
    found: Table = pair(proof, "unit", "clutch")["covers"][0]["leaves"][0]
    return found


def swing(proof: Table) -> Table:
    move: Table = part(proof, "clutch")["phases"][0]["moves"][0]
    return move


def narrowed(proof: Table) -> None:
    """The clutch stops 20 mm short, and every box with it: all that is stated hangs together."""
    stop = swing(proof)["stop"] = swing(proof)["stop"] - 0.06
    for entry in proof["pairs"]:
        if entry["kind"] == "judged" and "clutch" in (entry["a"], entry["b"]):
            for box in (leaf["box"] for cover in entry["covers"] for leaf in cover["leaves"]):
                box[-1] = [min(end, stop) for end in box[-1]]


def shifted(entry: Table, by: float) -> None:
    entry["vertices"] = [[x + by, y, z] for x, y, z in entry["vertices"]]


def shrunk_box(proof: Table) -> None:
    """A fuse panel pulled back 20 mm, its box and its corners alike."""
    panel = piece(proof, "fuse panel")
    shifted(panel, -20)
    panel["exact"]["origin"][0] -= 20


def swapped(proof: Table) -> None:
    entry = pair(proof, "unit", "clutch")
    entry["a"], entry["b"] = entry["b"], entry["a"]


def cut_short(proof: Table) -> None:
    """A can 30 mm shorter than the reading, vertices and true solid alike."""
    can = piece(proof, "motor can")
    start, end = can["exact"]["start"], can["exact"]["end"]
    back = [30 * (b - a) / math.dist(start, end) for a, b in zip(start, end, strict=True)]
    near = [v for v in can["vertices"] if math.dist(v, start) < math.dist(v, end)]
    can["vertices"] = near + [[x - y for x, y in zip(v, back, strict=True)] for v in can["vertices"] if v not in near]
    can["exact"]["end"] = [b - d for b, d in zip(end, back, strict=True)]


TAMPERS: dict[str, Tamper] = {
    "a leaf removed": lambda p: pair(p, "unit", "clutch")["covers"][0]["leaves"].pop(3),
    "all leaves removed": lambda p: pair(p, "unit", "clutch").update(covers=[]),
    "a box shrunk": lambda p: leaf(p)["box"][0].__setitem__(0, leaf(p)["box"][0][0] + 1e-6),
    "a box beyond the range": lambda p: leaf(p)["box"][0].__setitem__(1, 3.0),
    "a box turned round": lambda p: leaf(p)["box"][0].reverse(),
    "a box of no movement": lambda p: leaf(p).update(box=[]),
    "a direction turned round": lambda p: leaf(p).update(directions=[[-x for x in n] for n in leaf(p)["directions"]]),
    "a direction made longer": lambda p: leaf(p).update(directions=[[2 * x for x in n] for n in leaf(p)["directions"]]),
    "a direction too many": lambda p: leaf(p)["directions"].extend([[1.0, 0.0, 0.0]] * 2),
    "no direction": lambda p: leaf(p).update(directions=[]),
    "a leaf of a piece that is not there": lambda p: leaf(p).update(a=99),
    "a vertex moved": lambda p: piece(p, "motor can")["vertices"][0].__setitem__(1, 0.0),
    "all vertices of a piece moved": lambda p: shifted(piece(p, "vent duct"), 0.02),
    "a part made smaller with its box": shrunk_box,
    "a can made shorter with its true solid": cut_short,
    "a piece flattened": lambda p: piece(p, "boot on clutch, toe box").update(vertices=[[0, 0, 0], [1, 0, 0]] * 3),
    "a true solid enlarged": lambda p: piece(p, "fuse panel")["exact"]["size"].__setitem__(0, 60.0),
    "a true bar thicker": lambda p: piece(p, "motor can")["exact"].update(end_diameter_mm=77.0),
    "true balls thicker": lambda p: piece(p, "brake pushrod")["exact"].update(diameter_mm=14.0),
    "a face left out": lambda p: piece(p, "brake pushrod")["exact"]["faces"].pop(),
    "a true solid left out": lambda p: piece(p, "motor can").pop("exact"),
    "a movement narrowed": lambda p: swing(p).update(stop=swing(p)["stop"] - 0.06),
    "a movement narrowed with all its boxes": narrowed,
    "a movement about another point": lambda p: swing(p)["point"].__setitem__(0, swing(p)["point"][0] + 1),
    "a movement the other way": lambda p: swing(p).update(axis=[-x for x in swing(p)["axis"]]),
    "a movement left out": lambda p: part(p, "clutch")["phases"][0].update(moves=[]),
    "side play left out": lambda p: [entry.pop("sweep") for entry in proofs.pieces(part(p, "clutch"))],
    "side play made less": lambda p: piece(p, "clutch pad")["sweep"].update(slope=0.001),
    "the pull at the wheel made less": lambda p: part(p, "unit")["pull"].update(angle=0.001),
    "the pull at the wheel left out": lambda p: part(p, "unit").pop("pull"),
    "a frame moved by 0.02 mm": lambda p: p["frames"]["column"]["origin"].__setitem__(2, 398.02),
    "a frame that is no frame": lambda p: p["frames"]["unit"]["rotation"].__setitem__(0, [1.0, 0.0, 0.0]),
    "weights that add up to more": lambda p: pair(p, "unit", "clutch")["witness"]["a_on"][0].__setitem__(1, 1.1),
    "a weight under 0": lambda p: pair(p, "unit", "clutch")["witness"].update(a_on=[[0, 1.5], [1, -0.5]]),
    "a weight on nothing": lambda p: pair(p, "unit", "clutch")["witness"]["b_on"][0].__setitem__(0, 10_000),
    "a witness out of the travel": lambda p: pair(p, "unit", "clutch")["witness"].update(b_at=[2.0]),
    "a pair dropped": lambda p: p["pairs"].remove(pair(p, "unit", "clutch")),
    "a pair there twice": lambda p: p["pairs"].append(pair(p, "unit", "clutch")),
    "a pair with itself": lambda p: pair(p, "unit", "clutch").update(a="clutch"),
    "the names of a pair swapped": swapped,
    "a pair said to be as before": lambda p: p["pairs"].__setitem__(
        p["pairs"].index(pair(p, "unit", "clutch")), {"kind": "as before", "a": "unit", "b": "clutch", "reason": "so"}
    ),
    "a result changed": lambda p: pair(p, "unit", "clutch").update(result="under"),
    "a result of no known word": lambda p: pair(p, "unit", "clutch").update(result="safe"),
    "the required gap lowered": lambda p: pair(p, "unit", "clutch").update(required_mm=10.0),
    "the digest changed": lambda p: p["job"].update(sha256="0" * 64),
    "the job's text changed": lambda p: p["job"].update(text=p["job"]["text"].replace("5 1/2 in", "4 1/2 in")),
    "a length of the table changed": lambda p: key(p, "pedals", 0, "travel").update(mm=100.0),
    "a text of the table changed": lambda p: key(p, "pedals", 0, "travel").update(text="4 in"),
    "a line of the table changed": lambda p: key(p, "pedals", 0, "travel").update(line=1),
    "a key of the table dropped": lambda p: p["keys"].pop(),
    "a key dropped that nothing is held against": lambda p: p["keys"].remove(key(p, "points", "hub_seat", "spread")),
    "a key of the table twice": lambda p: p["keys"].append(p["keys"][0]),
    "a piece dropped": lambda p: part(p, "unit")["phases"][0]["pieces"].pop(),
    "a phase dropped": lambda p: part(p, "boot on brake")["phases"].pop(),
    "a part dropped": lambda p: p["parts"].pop(),
    "a part said to have no place": lambda p: p["unplaced"].append({"name": p["parts"].pop()["name"], "reason": "so"}),
    "a part of two parts' name": lambda p: part(p, "vent duct").update(name="fuse panel"),
    "a file that the job does not name": lambda p: p["files"].append({"name": "a.stl", "sha256": "0" * 64}),
    "NaN": lambda p: piece(p, "motor can")["vertices"][0].__setitem__(0, math.nan),
    "infinity": lambda p: swing(p).update(stop=math.inf),
    "a huge number": lambda p: piece(p, "motor can")["vertices"][0].__setitem__(0, 1e9),
    "a number of 400 digits": lambda p: swing(p).update(stop=10**400),
    "null": lambda p: swing(p).update(stop=None),
    "a number as text": lambda p: swing(p).update(stop="1.0"),
    "a truth as number": lambda p: leaf(p).update(a=True),
    "a point of two coordinates": lambda p: swing(p)["point"].pop(),
    "a list for a table": lambda p: p.update(job=[]),
    "an unknown key": lambda p: p.update(note="trust me"),
    "an unknown key deep inside": lambda p: leaf(p).update(bound_mm=50.0),
    "a key missing": lambda p: p.pop("frames"),
    "a movement of no known kind": lambda p: swing(p).update(kind="wobble"),
    "another version": lambda p: p.update(format="fitcheck proof 2"),
}  # fmt: skip


@pytest.mark.parametrize("name", proofs.NAMES)
def test_every_example_s_proof_is_accepted(name: str) -> None:
    lines = verify(proofs.written(name), lambda file: (EXAMPLES / name / file).read_bytes())
    assert "the same as the file at hand" in lines[0]
    assert lines[-1] == NOT_COVERED


@pytest.mark.parametrize("name", [CAR, STRUCK])
def test_a_proof_written_anew_from_its_table_is_accepted(name: str) -> None:
    """So that what refuses the tampered ones below is what was tampered with."""
    assert verify(proofs.content(proofs.table(name)))


@pytest.mark.parametrize("tamper", TAMPERS.values(), ids=TAMPERS.keys())
def test_tampering_is_refused(tamper: Tamper) -> None:
    proof = proofs.table(CAR)
    tamper(proof)
    with pytest.raises(Refused, match=r".{10}") as refusal:
        verify(proofs.content(proof))
    assert "not of the kind needed" not in str(refusal.value)  # the last net is for job texts that are no job


@pytest.mark.parametrize(
    "content",
    [
        b"",
        b"not a proof",
        b"null",
        b"[]",
        b"{}",
        b"\xff\xfe",
        b"[" * 100_000,
        proofs.written(CAR)[:-1000],
        proofs.written(CAR).replace(b'{"format"', b'{"format":"","format"', 1),
    ],
    ids=["empty", "no JSON", "null", "list", "nothing in it", "no text", "nested", "truncated", "a key twice"],
)
def test_what_is_no_proof_is_refused(content: bytes) -> None:
    with pytest.raises(Refused, match=r".{10}"):
        verify(content)


@pytest.mark.parametrize(
    ("old", "new"), [('name = "clutch"', "name = 5"), ("[[pedals]]", "[[pedal]]"), ("[job]", "[job"), ("[unit]", "[u]")]
)
def test_a_job_text_that_is_no_job_is_refused(old: str, new: str) -> None:
    """Its digest and the table of keys made to fit, so that only the text itself is wrong."""
    import hashlib

    proof = proofs.table(CAR)
    text = proof["job"]["text"].replace(old, new)
    proof["job"].update(text=text, sha256=hashlib.sha256(text.encode()).hexdigest())
    with pytest.raises(Refused):
        verify(proofs.content(proof))


def test_a_hit_is_shown_by_a_common_point_only() -> None:
    proof = proofs.table(STRUCK)
    hit = next(entry for entry in proof["pairs"] if entry.get("result") == "hits")
    assert hit["covers"] == []
    hit["witness"]["a_on"] = [[0, 1.0]]
    with pytest.raises(Refused, match="a phase of one part is not covered"):
        verify(proofs.content(proof))


def test_a_job_file_that_is_another_is_refused() -> None:
    with pytest.raises(Refused, match="its digest differs"):
        verify(proofs.written(CAR), job=(EXAMPLES / STRUCK / "job.toml").read_bytes())
    assert "not at hand" in verify(proofs.written(CAR))[0]


def test_it_prints_every_length_with_line_and_text_and_every_pair() -> None:
    proof, lines = proofs.table(CAR), verify(proofs.written(CAR))
    text = (EXAMPLES / CAR / "job.toml").read_text(encoding="utf-8").split("\n")
    for entry in proof["keys"]:
        assert json.dumps(entry["text"])[1:-1] in text[entry["line"] - 1]
        assert any(f"line {entry['line']}  {entry['text']}  {entry['mm']:.4f} mm" in line for line in lines)
    for entry in proof["pairs"]:
        assert sum(line.startswith(f"  {entry['a']} - {entry['b']}: ") for line in lines) == 1
