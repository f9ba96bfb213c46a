"""Follows the path of one refused value through a model: its keys, which others were allowed, what was wanted.

Models tell variants apart by tags and labels that stand in pydantic's path but in no file; they are left out here.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, cast

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from fitcheck.job.positions import Path

Node = dict[str, Any]
_WRAPPED = {
    "default": "schema",
    "definitions": "schema",
    "function-after": "schema",
    "function-before": "schema",
    "function-wrap": "schema",
    "json-or-python": "python_schema",
    "lax-or-strict": "lax_schema",
    "nullable": "schema",
}


@dataclass(frozen=True)
class Spot:
    """path: keys as in the file; allowed: keys of the table the last one is in; field and node: what is wanted there.

    branches: for each union on the way that has no tag, its path and the variant's label; lower: of an unknown key, the
    tables one level down that have it, with whether there may be many of each; named: tables whose keys are names.
    """

    path: Path
    allowed: tuple[str, ...] = ()
    field: FieldInfo | None = None
    node: Node | None = None
    branches: tuple[tuple[Path, str], ...] = ()
    lower: tuple[tuple[str, bool], ...] = ()
    named: tuple[str, ...] = ()


class Guide:
    """The way through one model; `follow` may be asked again and again."""

    def __init__(self, model: type[BaseModel]) -> None:
        self.root = cast(Node, model.__pydantic_core_schema__)
        self.shared = {node["ref"]: node for node in self.root.get("definitions", ())}

    def follow(self, loc: Path) -> Spot:
        """Where in the file `loc`, the path of a pydantic error, is."""
        spot = Spot((), node=self.settled(self.root))
        for step in loc:
            spot = self._step(spot, step)
        return spot

    def settled(self, node: Node | None) -> Node | None:
        """`node` without the wrappers that do not show in a path."""
        while node is not None:
            if node["type"] == "definition-ref":
                node = self.shared.get(node["schema_ref"])
            elif node["type"] in _WRAPPED:
                node = node[_WRAPPED[node["type"]]]
            else:
                return node
        return None

    def _step(self, spot: Spot, step: str | int) -> Spot:
        node = spot.node or {"type": "unknown"}
        match node["type"]:
            case "tagged-union":
                inner = self.settled(node["choices"].get(step))
                return Spot(spot.path, spot.allowed, spot.field, inner, spot.branches)
            case "union":
                branches = (*spot.branches, (spot.path, str(step)))
                return Spot(spot.path, spot.allowed, spot.field, self._choice(node, str(step)), branches)
            case "model":
                return self._key(spot, node, str(step))
            case _:
                return Spot((*spot.path, step), node=self._item(node, step), branches=spot.branches)

    def _key(self, spot: Spot, node: Node, step: str) -> Spot:
        fields = (self.settled(node["schema"]) or {}).get("fields", {})
        keys = {inner.get("validation_alias", name): name for name, inner in fields.items()}
        path, allowed = (*spot.path, step), tuple(keys)
        if step not in keys:
            lower, named = tuple(self._lower(fields, step)), tuple(self._named(fields))
            return Spot(path, allowed, branches=spot.branches, lower=lower, named=named)
        name = keys[step]
        return Spot(path, allowed, node["cls"].model_fields[name], self.settled(fields[name]["schema"]), spot.branches)

    def _lower(self, fields: Node, step: str) -> Iterator[tuple[str, bool]]:
        """Those of the fields' tables, or tables in lists, that have a key `step`."""
        for name, inner in fields.items():
            table = self.settled(inner["schema"])
            many = table is not None and table["type"] == "list"
            if table is not None and many:
                table = self._item(table, 0)
            if table is not None and table["type"] == "model":
                keys = (self.settled(table["schema"]) or {}).get("fields", {})
                if step in keys:
                    yield inner.get("validation_alias", name), many

    def _named(self, fields: Node) -> Iterator[str]:
        """Those of the fields that hold tables by names of one's own."""
        for name, inner in fields.items():
            table = self.settled(inner["schema"])
            if table is not None and table["type"] == "dict":
                item = self.settled(table.get("values_schema"))
                if item is not None and item["type"] in ("model", "tagged-union"):
                    yield inner.get("validation_alias", name)

    def _item(self, node: Node, step: str | int) -> Node | None:
        if node["type"] == "dict":
            return self.settled(node.get("values_schema"))
        items = node.get("items_schema")
        if isinstance(items, list):
            return self.settled(items[min(int(step), len(items) - 1)]) if items else None
        return self.settled(items)

    def _choice(self, node: Node, label: str) -> Node | None:
        for choice in node["choices"]:
            inner, named = choice if isinstance(choice, tuple) else (choice, None)
            settled = self.settled(inner)
            if settled is not None and (named == label or _is_labelled(settled, label)):
                return settled
        return None


def _is_labelled(node: Node, label: str) -> bool:
    name = node["cls"].__name__ if node["type"] == "model" else node["type"]
    return label == name or label.startswith(f"{name}[") or label.endswith(f" {name}]")
