"""What a verified proof says, in short: what was held and proven counted, what was not told line by line."""

from collections import Counter
from collections.abc import Iterable, Iterator

HELD, NOT_HELD = "  held", "  not held"
CARRIED, PROVEN, NOT_PROVEN = "readings the proof carries", "proven, ", "not proven, "
KEEPS = ": keeps: "
SHOWN = 6
ALL_OF_IT = "--all tells every line"


def in_short(lines: Iterable[str]) -> list[str]:
    """The lines of `verify` with those folded that nobody has to act on."""
    return list(_folded(list(lines)))


def _folded(lines: list[str]) -> Iterator[str]:
    i = 0
    while i < len(lines):
        title, below = lines[i], 1
        while i + below < len(lines) and lines[i + below].startswith("  "):
            below += 1
        listed = lines[i + 1 : i + below]
        if title.startswith(CARRIED):
            yield from _readings(listed)
        elif title.startswith(PROVEN):
            yield from _proven(title, listed)
        elif title.startswith(NOT_PROVEN):
            yield from _not_proven(title, listed)
        else:
            yield from (title, *listed)
        i += below


def _readings(listed: list[str]) -> Iterator[str]:
    loose = [line.split("  ")[1] for line in listed if line.endswith(NOT_HELD)]
    yield f"{len(listed)} readings carried, the geometry held against {len(listed) - len(loose)} of them ({ALL_OF_IT})"
    if loose:
        yield f"not held: {', '.join(loose[:SHOWN])}{_more(len(loose))}"


def _proven(title: str, listed: list[str]) -> Iterator[str]:
    """What is wrong, and the narrowest of what keeps its gap: a proof lists them worst first."""
    keeps = [line for line in listed if KEEPS in line]
    yield f"{title}: {len(listed)}, of which {len(keeps)} keep their gap"
    yield from (line for line in listed if KEEPS not in line)
    yield from keeps[:SHOWN]
    if len(keeps) > SHOWN:
        yield f" {_more(len(keeps))} that keep it"


def _not_proven(title: str, listed: list[str]) -> Iterator[str]:
    yield f"{title}: {len(listed)}"
    reasons = Counter(line.split(": ", 1)[-1] for line in listed)
    yield from (f"  {count} x {reason}" for reason, count in reasons.most_common(SHOWN))
    if len(reasons) > SHOWN:
        yield f" {_more(len(reasons))} reasons"


def _more(many: int) -> str:
    return f" and {many - SHOWN} more" if many > SHOWN else ""
