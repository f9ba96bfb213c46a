"""What to write instead: keys and values spelled as they stand in a TOML file, with the examples of the models."""

import json
import re
from collections.abc import Iterable
from typing import Any, get_args

from pydantic import BaseModel

from fitcheck.job.guide import Spot
from fitcheck.job.positions import Path
from fitcheck.job.texts import FromText, described, quoted

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")


def spelled(path: Path) -> str:
    """`path` as a person says it, list items from 1: "pedals[2].travel"; "whole file" when empty."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else ("." if text else "") + key_text(step)
    return text or "whole file"


def key_text(key: str) -> str:
    """`key` as it stands in the file, in quotes where it needs them."""
    return key if _BARE_KEY.fullmatch(key) else quoted(key)


def as_toml(value: object) -> str:
    """`value` as it stands in a TOML file; what is long or holds others is only described."""
    if isinstance(value, str):
        return quoted(value)
    if isinstance(value, bool):
        return json.dumps(value)
    return str(value) if isinstance(value, int | float) else described(value)


def either(values: Iterable[object]) -> str:
    """The values as they stand in the file, joined with commas and "or"."""
    *rest, last = [as_toml(value) for value in values]
    return f"{', '.join(rest)} or {last}" if rest else last


def write_this(spot: Spot, describe: bool = False) -> str:
    """The part of a message that says what to write for the key at `spot`, or with `describe` what it is; or empty."""
    if spot.field is None:
        return ""
    key = str(spot.path[-1])
    example = _example(spot, key)
    if example:
        return f"; write {example}"
    return f" ({spot.field.description})" if describe and spot.field.description else ""


def _example(spot: Spot, key: str) -> str:
    if spot.field and spot.field.examples:
        return f"{key_text(key)} = {_as_written(spot.field.examples[0])}"
    text_type = _text_type(spot.field.annotation) if spot.field else None
    if text_type:
        return f"{key_text(key)} = {quoted(text_type.examples[0])}"
    return _example_by_kind(spot, key)


def _example_by_kind(spot: Spot, key: str) -> str:
    node, in_list = spot.node or {}, any(isinstance(step, int) for step in spot.path)
    header = ".".join(key_text(str(step)) for step in spot.path)
    match node.get("type"):
        case "literal":
            return f"{key_text(key)} = {either(node['expected'])}"
        case "bool":
            return f"{key_text(key)} = true or false"
        case "str":
            return f'{key_text(key)} = "..."'
        case "model":
            return f"{key_text(key)} = {{ ... }}" if in_list else f"a table [{header}]"
        case "list" if not in_list and _holds_tables(spot):
            return f"a table [[{header}]]"
    return ""


def _as_written(example: object) -> str:
    """Examples of the models may stand as TOML already, quotes and all, or as bare text."""
    if isinstance(example, str) and example[:1] in ('"', "'", "{", "["):
        return example
    return as_toml(example)


def _text_type(annotation: Any) -> type[FromText] | None:
    if isinstance(annotation, type) and issubclass(annotation, FromText):
        return annotation
    found = (_text_type(inner) for inner in get_args(annotation))
    return next((one for one in found if one is not None), None)


def _holds_tables(spot: Spot) -> bool:
    items = get_args(spot.field.annotation) if spot.field else ()
    return any(isinstance(item, type) and issubclass(item, BaseModel) for item in items)
