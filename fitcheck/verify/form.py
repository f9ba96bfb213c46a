"""The form of a proof: read strictly, so that whatever is missing, unknown, no number or of the wrong shape is refused.

Numbers become float arrays; lengths are millimetres, angles radians, points in the car's frame (back, right, up).
"""

import json
from collections.abc import Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

Vector = NDArray[np.float64]
FORMAT = "fitcheck proof 1"
LARGEST = 100_000.0  # no coordinate on a car is over 100 m
LARGEST_BYTES = 100_000_000


class Refused(Exception):
    """Why a proof is not accepted; the text says where in it and what."""


POINT, POINTS, MATRIX, NUMBERS = (3,), (None, 3), (3, 3), (None,)
FRAME = {"rotation": MATRIX, "origin": POINT}
SWEEP = {
    "kind": {
        "tilt": {"point": POINT, "axis": POINT, "down": POINT, "slope": float},
        "swivel": {"point": POINT, "axes": POINTS, "angle": float},
    }
}
EXACT = {
    "kind": {
        "box": {"rotation": MATRIX, "origin": POINT, "size": POINT},
        "round": {"start": POINT, "end": POINT, "start_diameter_mm": float, "end_diameter_mm": float},
        "balls": {"centres": POINTS, "diameter_mm": float, "faces": POINTS},
    }
}
MOVE = {
    "kind": {
        "turn": {"point": POINT, "axis": POINT, "start": float, "stop": float},
        "slide": {"direction": POINT, "start": float, "stop": float},
    }
}
PIECE = {"name": str, "vertices": POINTS, "sweep?": SWEEP, "exact?": EXACT}
CARRY = {"group": str, "moves": [MOVE], "shift?": {"low": POINT, "high": POINT}}
PART = {"name": str, "phases": [{"moves": [MOVE], "carry": [CARRY], "pieces": [PIECE]}], "pull?": SWEEP}
LEAF = {"a": int, "b": int, "box": (None, 2), "directions": POINTS}
WITNESS = {
    "a_phase": int, "b_phase": int, "a_piece": int, "b_piece": int,
    "a_at": NUMBERS, "b_at": NUMBERS, "a_on": (None, 2), "b_on": (None, 2),
}  # fmt: skip
PAIR = {
    "kind": {
        "judged": {
            "a": str, "b": str, "required_mm": float, "result": str, "witness": WITNESS,
            "covers": [{"a_phase": int, "b_phase": int, "leaves": [LEAF]}],
        },
        "not covered": {"a": str, "b": str, "required_mm": float, "reason": str},
        "not known": {"a": str, "b": str, "required_mm": float, "reason": str},
        "joined": {"a": str, "b": str, "reason": str},
        "as before": {"a": str, "b": str, "reason": str},
        "not looked at": {"a": str, "b": str, "reason": str},
    }
}  # fmt: skip
PROOF = {
    "format": str,
    "job": {"file": str, "sha256": str, "text": str},
    "files": [{"name": str, "sha256": str}],
    "keys": [{"path": list, "line": int, "text": str, "mm": float}],
    "frames": {"column": FRAME, "unit": FRAME},
    "parts": [PART],
    "unplaced": [{"name": str, "reason": str}],
    "pairs": [PAIR],
}


def read(content: bytes) -> dict[str, Any]:
    """The proof in its form, or Refused."""
    if len(content) > LARGEST_BYTES:
        raise Refused(f"over {LARGEST_BYTES // 1_000_000} MB")
    try:
        raw = json.loads(content.decode("utf-8"), parse_constant=_no_number, object_pairs_hook=_each_once)
    except (ValueError, RecursionError) as error:  # no UTF-8, no JSON, numbers of thousands of digits, endless nesting
        raise Refused(f"not a JSON text: {error}") from None
    if not isinstance(raw, dict) or raw.get("format") != FORMAT:
        raise Refused(f'the format is not "{FORMAT}", the only one known here')
    proof: dict[str, Any] = shaped(raw, PROOF, "proof")
    return proof


def _no_number(word: str) -> None:
    raise Refused(f"{word} is no number")


def _each_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    table = dict(pairs)
    if len(table) < len(pairs):
        raise Refused(f"a key is there twice among {', '.join(sorted(table))}")
    return table


def shaped(value: Any, form: Any, where: str) -> Any:
    """`value` where it has the `form`, arrays as arrays; `where` is said if it has not."""
    if isinstance(form, dict):
        return _table(value, form, where)
    if isinstance(form, tuple):
        return _array(value, form, where)
    if isinstance(form, list):
        _typed(value, list, where)
        return [shaped(item, form[0], f"{where}[{at}]") for at, item in enumerate(value)]
    if form is float:
        return float(_array(value, (), where))
    return _typed(value, form, where)


def _typed(value: Any, wanted: type, where: str) -> Any:
    if type(value) is not wanted:
        raise Refused(f"{where}: a {wanted.__name__} belongs here, not {_short(value)}")
    return value


def _table(value: Any, form: Mapping[str, Any], where: str) -> dict[str, Any]:
    _typed(value, dict, where)
    if isinstance(form.get("kind"), dict):
        kind = value.get("kind")
        if not isinstance(kind, str) or kind not in form["kind"]:
            raise Refused(f"{where}: the kind is one of {', '.join(form['kind'])}, not {_short(kind)}")
        form = {"kind": str, **form["kind"][kind]}
    known = {key.rstrip("?") for key in form}
    unknown, missing = set(value) - known, {key for key in form if not key.endswith("?")} - set(value)
    if unknown or missing:
        raise Refused(f"{where}: {'unknown' if unknown else 'missing'}: {', '.join(sorted(unknown or missing))}")
    return {
        key.rstrip("?"): shaped(value[key.rstrip("?")], inner, f"{where}.{key.rstrip('?')}")
        for key, inner in form.items()
        if key.rstrip("?") in value
    }


def _array(value: Any, shape: tuple[int | None, ...], where: str) -> Vector:
    if not shape:
        if type(value) not in (int, float) or not -LARGEST <= value <= LARGEST:
            raise Refused(f"{where}: a number within {LARGEST:g} belongs here, not {_short(value)}")
        return np.array(float(value))
    if type(value) is not list or shape[0] not in (None, len(value)):
        raise Refused(f"{where}: {shape[0] or 'a row of'} entries belong here, not {_short(value)}")
    rows = [_array(item, shape[1:], where) for item in value]
    return np.array(rows).reshape(len(rows), *(rows[0].shape if rows else shape[1:]))


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 40 else text[:40] + "..."
