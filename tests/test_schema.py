"""The published schema of the job file (JSON Schema 2020-12): every key the examples use has its place in it."""

import json
import tomllib

from tests import jobs
from tests.command import Said


def test_schema_allows_every_key_the_examples_use() -> None:
    """Tables are objects with their properties named, and nothing else is allowed in them."""
    told = Said("schema")
    assert told.code == 0
    schema = json.loads(told.out)
    assert schema["type"] == "object" and schema["additionalProperties"] is False
    assert {"job", "column", "unit"} == set(schema["required"])
    assert schema["properties"]["job"]["$ref"].startswith("#/$defs/")
    for path in sorted(jobs.EXAMPLES.glob("*/job.toml")):
        unknown = list(not_allowed(tomllib.loads(path.read_text(encoding="utf-8")), schema, schema["$defs"]))
        assert unknown == [], path
    wrong = jobs.changed(jobs.saloon(), ("unit", "clok"), "9:00")
    assert list(not_allowed(wrong, schema, schema["$defs"])) == ["unit.clok"]


def not_allowed(value: object, schema: jobs.Tables, defs: jobs.Tables, path: str = "") -> list[str]:
    """Keys of `value` that the schema has no place for, by the variant that allows the most."""
    schema = defs[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    variants = schema.get("anyOf") or schema.get("oneOf")
    if variants:
        fitting = [one for one in variants if is_kind(value, one, defs)]
        assert fitting, f"{path}: {value!r} has no place in {variants}"
        return min((not_allowed(value, one, defs, path) for one in fitting), key=len)
    assert is_kind(value, schema, defs), path
    if isinstance(value, list):
        items = schema.get("items", {})
        return [key for i, item in enumerate(value) for key in not_allowed(item, items, defs, f"{path}[{i}]")]
    if not isinstance(value, dict):
        return []
    known, rest = schema.get("properties", {}), schema.get("additionalProperties", False)
    found = []
    for key, item in value.items():
        here = f"{path}.{key}".lstrip(".")
        inner = known.get(key, rest)
        found += [here] if inner is False else not_allowed(item, inner, defs, here)
    return found


def is_kind(value: object, schema: jobs.Tables, defs: jobs.Tables) -> bool:
    schema = defs[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    kinds = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None)}
    kinds |= {"integer": int, "number": float}
    if "const" in schema or "enum" in schema:
        return value in schema.get("enum", [schema.get("const")])
    return "type" not in schema or isinstance(value, kinds[schema["type"]])
