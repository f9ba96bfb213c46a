"""pydantic's errors in plain words: which key, whose place is shown, what was got, what is allowed, what to write."""

from collections.abc import Iterator
from dataclasses import dataclass
from difflib import get_close_matches

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from fitcheck.errors import FitcheckError, LengthError
from fitcheck.job.guide import Guide, Spot
from fitcheck.job.positions import Path
from fitcheck.job.remedies import as_toml, either, key_text, write_this
from fitcheck.job.texts import described

_WANTED = {
    "string_type": "text in quotes",
    "int_type": "a whole number",
    "int_parsing": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "float_parsing": "a number",
    "finite_number": "a finite number",
    "bool_type": "true or false",
    "bool_parsing": "true or false",
    "list_type": "a list",
    "tuple_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
    "model_attributes_type": "a table",
}
_BOUNDS = {
    "greater_than": "above",
    "greater_than_equal": "at least",
    "less_than": "below",
    "less_than_equal": "at most",
}
_SIZES = {"too_short": "min_length", "too_long": "max_length", "string_too_short": "min_length"}
_SIZES |= {"string_too_long": "max_length"}


class MisfitError(FitcheckError, ValueError):
    """Raised by a model's own check when keys do not go together: (path from its table, message) for each mistake."""

    def __init__(self, *faults: tuple[Path, str]) -> None:
        super().__init__("; ".join(message for _, message in faults))
        self.faults = faults


@dataclass(frozen=True)
class Finding:
    """One mistake. path: its key; stands: the path whose place is shown, by its key or by its value; message: in words.

    branches as in Spot; misfit: the value is of another kind altogether; meant: the known key an unknown one is like.
    """

    path: Path
    stands: Path
    message: str
    at_key: bool = False
    branches: tuple[tuple[Path, str], ...] = ()
    misfit: bool = False
    meant: Path | None = None
    missing: bool = False


def findings(error: ValidationError, model: type[BaseModel]) -> list[Finding]:
    """Everything pydantic found wrong, one finding for each mistake."""
    guide = Guide(model)
    found = [finding for detail in error.errors(include_url=False) for finding in _found(detail, guide)]
    return _without_echoes(_one_branch_each(found))


def _found(detail: ErrorDetails, guide: Guide) -> Iterator[Finding]:
    loc, kind = detail["loc"], detail["type"]
    if loc and loc[-1] == "[key]":
        loc = loc[:-1]
        yield from (_of_key(finding) for finding in _found({**detail, "loc": loc}, guide))
        return
    spot = guide.follow(loc)
    raised = detail.get("ctx", {}).get("error")
    if isinstance(raised, MisfitError):
        for path, message in raised.faults:
            yield Finding((*spot.path, *path), (*spot.path, *path), message, branches=spot.branches)
    elif kind == "missing":
        yield _missing(spot)
    elif kind == "extra_forbidden":
        yield _unknown(spot, detail["input"])
    elif kind in ("union_tag_not_found", "union_tag_invalid"):
        yield _kind_not_told(spot, detail)
    else:
        unread = isinstance(raised, LengthError) and not isinstance(detail["input"], str)
        misfit = unread or kind in _WANTED or kind == "literal_error"
        yield Finding(spot.path, spot.path, _message(detail, spot), branches=spot.branches, misfit=misfit)


def _of_key(finding: Finding) -> Finding:
    return Finding(finding.path, finding.stands, f"as a key: {finding.message}", at_key=True, branches=finding.branches)


def _missing(spot: Spot) -> Finding:
    *table, last = spot.path
    if isinstance(last, int):
        return Finding(tuple(table), tuple(table), f"too short; item {last + 1} is missing", branches=spot.branches)
    said = spot.field.description if spot.field and spot.field.description else None
    message = "missing" + (f": {said}" if said else "") + write_this(spot)
    return Finding(spot.path, tuple(table), message, branches=spot.branches, missing=True)


def _one_level_down(spot: Spot, value: object) -> Finding:
    """A key that one table of this one has, and this one has not."""
    *table, last = spot.path
    ((lower, many),) = spot.lower
    steps = [str(step) for step in (*table, lower) if isinstance(step, str)]
    if isinstance(value, dict | list):
        steps.append(str(last))
        many = isinstance(value, list)
    header = ".".join(key_text(step) for step in steps)
    said = f"no key of this table; it belongs under {f'[[{header}]]' if many else f'[{header}]'}"
    return Finding(spot.path, spot.path, said, at_key=True, branches=spot.branches)


def _unknown(spot: Spot, value: object) -> Finding:
    *table, last = spot.path
    if len(spot.lower) == 1:
        return _one_level_down(spot, value)
    near = get_close_matches(str(last), spot.allowed, n=1)
    guess = f"; did you mean '{near[0]}'?" if near else ";"
    own = spot.named[0] if len(spot.named) == 1 and table and not near and isinstance(value, dict | list) else ""
    if own:
        guess = (
            f"; a part by a name of yours stands under {own}, as in {own} = {{ {key_text(str(last))} = {{ ... }} }};"
        )
    message = f"unknown key{guess} allowed here: {', '.join(spot.allowed)}"
    meant = (*table, near[0]) if near else None
    return Finding(spot.path, spot.path, message, at_key=True, branches=spot.branches, meant=meant)


def _kind_not_told(spot: Spot, detail: ErrorDetails) -> Finding:
    node, value = spot.node or {}, detail["input"]
    key, tags = node.get("discriminator"), [str(tag) for tag in node.get("choices", {})]
    if not isinstance(key, str):
        return Finding(
            spot.path, spot.path, f"{described(value)} is none of: {', '.join(tags)}", branches=spot.branches
        )
    path = (*spot.path, key)
    if not isinstance(value, dict):
        return Finding(spot.path, spot.path, f"a table belongs here, not {described(value)}", branches=spot.branches)
    if key in value:
        return Finding(path, path, _choice_text(value[key], tags), branches=spot.branches)
    message = f"missing; write {key_text(key)} = {either(tags)}"
    return Finding(path, spot.path, message, branches=spot.branches, missing=True)


def _choice_text(got: object, allowed: list[object] | list[str]) -> str:
    near = get_close_matches(got, [str(one) for one in allowed], n=1) if isinstance(got, str) else []
    guess = f"; did you mean {as_toml(near[0])}?" if near else ";"
    return f"{as_toml(got)} is not allowed here{guess} write {either(allowed)}"


def _message(detail: ErrorDetails, spot: Spot) -> str:
    kind, value, context = detail["type"], detail["input"], detail.get("ctx", {})
    if "error" in context and kind in ("value_error", "assertion_error"):
        return str(context["error"])
    if kind in _WANTED:
        return f"{_WANTED[kind]} belongs here, not {described(value)}{write_this(spot, describe=True)}"
    if kind in ("literal_error", "enum"):
        expected = (spot.node or {}).get("expected") or (spot.node or {}).get("members") or []
        return _choice_text(value, [getattr(one, "value", one) for one in expected])
    if kind in _BOUNDS:
        return f"{as_toml(value)} is not {_BOUNDS[kind]} {next(iter(context.values()))}"
    if kind in _SIZES:
        return _size_text(kind, value, context[_SIZES[kind]])
    return detail["msg"].replace("Input should", "should")


def _size_text(kind: str, value: object, limit: int) -> str:
    what = "characters" if kind.startswith("string") else "items"
    size = len(value) if isinstance(value, str | list | tuple | dict) else 0
    if size == 0:
        return "must not be empty"
    return f"has {size} {what}; {'at least' if kind.endswith('short') else 'at most'} {limit} are allowed"


def _one_branch_each(found: list[Finding]) -> list[Finding]:
    """Of the variants of a union without tags only the one that the value comes nearest to has its say."""
    unions = {path for finding in found for path, _ in finding.branches}
    for union in sorted(unions, key=len):
        labels = list(dict.fromkeys(dict(one.branches)[union] for one in found if union in dict(one.branches)))
        groups = [[one for one in found if (union, label) in one.branches] for label in labels]
        if len(groups) > 1:
            found = _with_nearest(found, union, groups)
    return found


def _with_nearest(found: list[Finding], union: Path, groups: list[list[Finding]]) -> list[Finding]:
    near = [group for group in groups if not any(one.misfit and one.path == union for one in group)]
    if near:
        kept = min(near, key=len)
    else:
        message = "; or: ".join(dict.fromkeys(one.message for group in groups for one in group if one.path == union))
        kept = [Finding(union, union, message, branches=tuple(b for b in groups[0][0].branches if b[0] != union))]
    first = next(i for i, one in enumerate(found) if union in dict(one.branches))
    before, after = (
        [one for one in part if union not in dict(one.branches)] for part in (found[:first], found[first:])
    )
    return [*before, *kept, *after]


def _without_echoes(found: list[Finding]) -> list[Finding]:
    """Without the key reported missing only because it is misspelt, and without repeats."""
    meant = {one.meant for one in found if one.meant is not None}
    return list(dict.fromkeys(one for one in found if not (one.missing and one.path in meant)))
