"""A key of the job file as the shop calls it: "pedals[2].arm[1].at.right" is "brake: arm 1, right"."""

import re
from collections.abc import Iterator

from fitcheck.job.model import Job
from fitcheck.job.observed import Observed

_STEP = re.compile(r"([A-Za-z_]\w*)|\[(\d+)\]|\"([^\"]*)\"")
UNSAID = ("at", "shape", "is", "pedals", "obstacles", "driver", "boots", "points", "column", "linkages", "readings")
SAID = {"corner": "corner", "opposite": "opposite corner", "through": "place", "outline": "corner"}


def key_words(job: Job, key: str) -> str:
    """What a key is called by the names in the job; the part that bears a name stands first."""
    owner = owner_of(job, key)
    rest = [word for word in _words(key) if word]
    said = ", ".join(rest)
    if owner:
        return f"{owner}: {said}" if said else owner
    return said or key


def key_told(job: Job, key: str) -> str:
    """A key with what it is called, where its number of a list says little: "pedals[2].travel (brake: travel)"."""
    return f"{key} ({key_words(job, key)})" if "[" in key else key


def owner_of(job: Job, key: str) -> str:
    """The part with a name of its own that a key lies in, or nothing."""
    at: object = job
    for name, index, _ in _STEP.findall(key):
        if name:
            at = getattr(at, name, None)
        elif isinstance(at, list | tuple) and 0 < int(index) <= len(at):
            at = at[int(index) - 1]
            named = getattr(at, "name", None)
            on = getattr(at, "on", None)
            if isinstance(named, str):
                return named
            if isinstance(on, str):
                return f"boot on {on}"
            if isinstance(at, Observed):
                return _read(at)
    return ""


def _read(reading: Observed) -> str:
    """What was read, by the points it names: "tape hub seat - clutch pivot"."""
    for name, value in reading:
        if isinstance(value, list | tuple) and all(isinstance(each, str) for each in value) and value:
            return f"{name} {' - '.join(value)}".replace("_", " ")
    of = getattr(reading, "of", None)
    return of.replace("_", " ") if isinstance(of, str) else ""


def _words(key: str) -> Iterator[str]:
    """Its steps in plain words; the number of a list joins the word before it, but for the named part's own."""
    steps = _STEP.findall(key)
    for number, (name, _, quoted) in enumerate(steps):
        if not (name or quoted):
            continue
        word = quoted or name
        follows = steps[number + 1][1] if number + 1 < len(steps) else ""
        if word in UNSAID:
            continue
        said = SAID.get(word, word).replace("_", " ")
        yield f"{said} {follows}" if follows else said
