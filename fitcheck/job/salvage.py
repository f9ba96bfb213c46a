"""What of a faulty job file can still be read, so that a fault in one part hides no fault in another.

A faulty key is left out, with the part that cannot do without it; what every job needs stands in from the starter.
Nothing is said of what rests on either.
"""

import tomllib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from itertools import count, islice
from typing import Any

from pydantic import ValidationError

from fitcheck.job.faults import Finding, findings
from fitcheck.job.model import Job
from fitcheck.job.positions import BYTE_ORDER_MARK, Path
from fitcheck.job.starter import STARTER

NEEDED = ("job", "column", "unit")
PLACED_ALONE = ("pivot_shafts", "pedals", "linkages", "driver", "obstacles")  # in the car, whatever the column does


@dataclass(frozen=True)
class Rest:
    """A job without some of its keys. values: the file's tables; out: paths left out; stand_ins: from the starter."""

    job: Job
    values: dict[str, Any]
    out: frozenset[Path] = frozenset()
    stand_ins: frozenset[Path] = frozenset()

    def in_file(self, path: Path) -> Path:
        """The path in the file of what has `path` here, where items of lists were left out."""
        return _in_file(path, self.out)

    def without(self, paths: Iterable[Path]) -> "Rest | None":
        """The rest without these paths too (of the file), or what holds them; None where nothing is left to read."""
        further = {_written(self.values, path, self.out) for path in paths}
        return None if () in further or not further else rest_of(self.values, self.out | further, self.stand_ins)

    def on_a_column_that_stands(self) -> "Rest | None":
        """With another column and unit altogether where either holds something that stands in."""
        whole: frozenset[Path] = frozenset({("column",), ("unit",)})
        if whole <= self.stand_ins or all(path[0] == "job" for path in self.stand_ins):
            return self
        return rest_of(self.values, self.out, self.stand_ins | whole)

    def is_about_what_is_lost(self, path: Path) -> bool:
        """Whether a complaint about `path` (of the file) rests on what was left out or stands in."""
        gone = self.out | self.stand_ins
        if path == ("column",) and any(each[0] in ("column", "points") for each in gone):
            return True  # of the whole column, which lacks what was left out
        if any(path[: len(each)] == each for each in gone) or (self.stand_ins and path[0] == "cuts"):
            return True
        lost = {name for each in gone for name in _names(_at(self.values, each), each)}
        if path[-1] != "name" and isinstance(_at(self.values, path), str) and any(map(self._has_no_name, gone)):
            return True  # it names a part, and this may be the one
        said = {*_texts(_at(self.values, path)), str(path[-1])}
        return any(name in said or any(one.endswith(f" {name}") for one in said) for name in lost)

    def _has_no_name(self, path: Path) -> bool:
        """Whether a part was left out at `path` whose name is missing or cannot be read."""
        listed = path[0] in PLACED_ALONE and len(path) == 2 and isinstance(path[1], int)
        return path[-1] == "name" or (listed and _at(self.values, (*path, "name")) is None)

    def needs_the_column(self, path: Path) -> bool:
        """Whether a fault of placing at `path` (of the file) may come from a column or unit that only stands in."""
        if not self.stand_ins:
            return False
        off_column = "along" in {*_texts(_at(self.values, path[:2])), *_texts(self.values.get("points", {}))}
        return off_column or path[0] not in PLACED_ALONE


def values_of(text: str) -> dict[str, Any] | None:
    """The file's tables, None where it is no TOML."""
    try:
        return tomllib.loads(text.removeprefix(BYTE_ORDER_MARK))
    except ValueError:
        return None


def rest_of(
    values: dict[str, Any], out: frozenset[Path] = frozenset(), stand_ins: frozenset[Path] = frozenset()
) -> Rest | None:
    """What can be read without the paths in `out`; None where too little is left."""
    while True:
        tables = _pruned(values, (), out)
        for path in sorted(stand_ins, key=len, reverse=True):
            tables = _filled(tables, path)
        try:
            return Rest(Job.model_validate(tables), values, out, stand_ins)
        except ValidationError as error:
            wanted, unreadable = _of_findings(findings(error, Job), out)
            if () in unreadable or not (wanted - stand_ins or unreadable - out):
                return None
            out, stand_ins = out | unreadable, stand_ins | wanted


def _in_file(path: Path, out: frozenset[Path]) -> Path:
    found: Path = ()
    for step in path:
        if isinstance(step, int):
            kept = (i for i in count() if (*found, i) not in out)
            step = next(islice(kept, step, None))
        found = (*found, step)
    return found


def _of_findings(found: list[Finding], out: frozenset[Path]) -> tuple[frozenset[Path], frozenset[Path]]:
    """What is to stand in, and what is to be left out."""
    wanted, unreadable = set(), set()
    for finding in found:
        if finding.missing and finding.path[0] in NEEDED and len(finding.path) <= 2:
            wanted.add(finding.path if _at(_starter(), finding.path) is not None else finding.path[:1])
        else:
            unreadable.add(_in_file(finding.stands if finding.missing else finding.path, out))
            if finding.path in [(table,) for table in NEEDED]:
                wanted.add(finding.path)  # what is left of it contradicts itself: another one altogether
    return frozenset(wanted), frozenset(unreadable)


def _pruned(value: Any, path: Path, out: frozenset[Path]) -> Any:
    if isinstance(value, dict):
        return {key: _pruned(item, (*path, key), out) for key, item in value.items() if (*path, key) not in out}
    if isinstance(value, list):
        return [_pruned(item, (*path, i), out) for i, item in enumerate(value) if (*path, i) not in out]
    return value


def _filled(tables: dict[str, Any], path: Path) -> dict[str, Any]:
    first, *rest = path
    value = _at(_starter(), path) if not rest else {**tables.get(str(first), {}), str(rest[0]): _at(_starter(), path)}
    return {**tables, str(first): value}


def _starter() -> dict[str, Any]:
    return tomllib.loads(STARTER)


def _at(value: Any, path: Path) -> Any:
    """What stands at the path, None where nothing does."""
    for step in path:
        in_list = isinstance(value, list) and isinstance(step, int) and step < len(value)
        if in_list or (isinstance(value, dict) and step in value):
            value = value[step]
        else:
            return None
    return value


def _written(values: dict[str, Any], path: Path, out: frozenset[Path]) -> Path:
    """The path, or the nearest round it that stands in the file and is not left out yet."""
    while path and (_at(values, path) is None or path in out):
        path = path[:-1]
    return path


def _names(value: Any, path: Path) -> Iterator[str]:
    """What others may call a part, a point or a mark that stands at `path`, or a point by its readings."""
    if path[0] == "readings":
        yield from _texts(value)
    elif path[:1] == ("points",) or path[:2] == ("column", "marks"):
        yield from (step for step in path[1:] if isinstance(step, str))
        yield from value if isinstance(value, dict) else ()
    elif isinstance(value, dict):
        yield from (value[key] for key in ("name", "on") if isinstance(value.get(key), str))
        for key, item in value.items():
            yield from _names(item, (*path, key))
    elif isinstance(value, list):
        for i, item in enumerate(value):
            yield from _names(item, (*path, i))


def _texts(value: Any) -> Iterator[str]:
    """Every key and every text in a value."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, item in value.items():
            yield key
            yield from _texts(item)
    elif isinstance(value, list):
        for item in value:
            yield from _texts(item)
