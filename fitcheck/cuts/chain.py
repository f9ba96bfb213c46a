"""A dimension chain: named faces on one line, readings between them, and the distance of any two with what it rests on.

Millimetres; a distance is signed, positive from its first face to its second along the line. Worst case is
sum(|a_i| t_i), root-sum-square is sqrt(sum((a_i t_i)^2)) (the usual stack; the second as JCGM 100:2008, 5.1.2).
Where more readings than needed tie the faces, the surest carry and every other one is a check on them.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from math import fsum, hypot
from types import MappingProxyType

from fitcheck.errors import Missing
from fitcheck.job.lengths import inches_text


@dataclass(frozen=True)
class Link:
    """One reading: `end` lies `mm` beyond `start`, give or take `spread_mm`. `key` names it, once in a chain."""

    key: str
    start: str
    end: str
    mm: float
    spread_mm: float


@dataclass(frozen=True)
class Untaken:
    """A reading that could tie two faces but was not taken: its key, and in words what to measure."""

    key: str
    start: str
    end: str
    measure: str


@dataclass(frozen=True)
class Share:
    """One reading's part in a stack: how it enters (+1, -1, ...), its spread, and its share of the squares, 0..1."""

    key: str
    factor: float
    spread_mm: float
    share: float


@dataclass(frozen=True)
class Stack:
    """A length and what it rests on: `terms` maps a reading's key to (factor, spread). One used twice is one term."""

    mm: float
    terms: Mapping[str, tuple[float, float]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        kept = {key: term for key, term in sorted(self.terms.items()) if term[0] != 0}
        object.__setattr__(self, "terms", MappingProxyType(kept))

    @classmethod
    def of(cls, key: str, mm: float, spread_mm: float) -> "Stack":
        """A single reading."""
        return cls(mm, {key: (1.0, spread_mm)})

    def plus(self, other: "Stack", factor: float = 1.0) -> "Stack":
        """This and `factor` times the other; what both rest on is counted once, with its sign."""
        terms = dict(self.terms)
        for key, (weight, spread) in other.terms.items():
            terms[key] = (terms.get(key, (0.0, 0.0))[0] + factor * weight, spread)
        return Stack(self.mm + factor * other.mm, terms)

    def times(self, factor: float) -> "Stack":
        """`factor` times this."""
        return Stack(0.0).plus(self, factor)

    def moved(self, mm: float) -> "Stack":
        """The same, `mm` longer by choice (a choice has no spread)."""
        return Stack(self.mm + mm, self.terms)

    def factor(self, key: str) -> float:
        """How much this grows when the reading `key` grows by one."""
        return self.terms[key][0] if key in self.terms else 0.0

    @property
    def worst_mm(self) -> float:
        """How far off if every reading is off its full spread the bad way."""
        return fsum(abs(factor) * spread for factor, spread in self.terms.values())

    @property
    def rss_mm(self) -> float:
        """Spread (half-width of 95 %) if the readings are independent; never above the worst case."""
        return min(self.worst_mm, hypot(*(factor * spread for factor, spread in self.terms.values())))

    @property
    def shares(self) -> tuple[Share, ...]:
        """Each reading's share of the squares, largest first; readings without spread are left out."""
        squares = {key: (factor * spread) ** 2 for key, (factor, spread) in self.terms.items()}
        whole = fsum(squares.values())
        found = [Share(key, *self.terms[key], square / whole) for key, square in squares.items() if square > 0]
        return tuple(sorted(found, key=lambda share: (-share.share, share.key)))


def both(mm: float) -> str:
    """A length in words that stand whatever the job shows: in mm, and to 1/32 in beside it."""
    return f"{mm:.1f} mm ({inches_text(mm)})"


def named_share(stack: Stack) -> str:
    """The reading that carries most of the spread, and how far it moves the value; empty where nothing is spread."""
    if not stack.shares:
        return ""
    most = stack.shares[0]
    return f"{most.key}, give or take {abs(most.factor) * most.spread_mm:.3g} mm"


DOUBTED = "it rests on readings that contradict each other, named under NO CUT YET"


@dataclass(frozen=True)
class Doubt:
    """A reading that the others contradict: it says `says_mm`, they say `others_mm`, together good to `spread_mm`."""

    key: str
    others: tuple[str, ...]
    ends: tuple[str, str]
    says_mm: float
    others_mm: float
    spread_mm: float

    @property
    def off_mm(self) -> float:
        """How far apart the two are."""
        return abs(self.says_mm - self.others_mm)

    def __str__(self) -> str:
        return (
            f"{self.ends[0]} to {self.ends[1]}: {both(self.says_mm)} by {self.key}, {both(self.others_mm)} by "
            f"{' with '.join(self.others)}. That is {self.off_mm:.1f} mm apart where their spreads allow "
            f"{self.spread_mm:.1f} mm; measure both again"
        )


class Chain:
    """The faces and the readings between them."""

    def __init__(self, links: Iterable[Link], untaken: Iterable[Untaken] = (), root: str | None = None) -> None:
        listed = sorted(links, key=lambda link: link.key)
        self._tied: dict[str, dict[str, Stack]] = {}
        self._from: dict[str, dict[str, Stack]] = {}
        self._untaken = tuple(sorted(untaken, key=lambda one: one.key))
        faces = sorted({face for link in listed for face in (link.start, link.end)})
        carrying: set[str] = set()
        for face in ([] if root is None else [root]) + faces:
            if face not in self._tied:
                carrying |= self._carry(face, listed)
        checks = [link for link in listed if link.key not in carrying]
        self.checks = tuple(link.key for link in checks)
        self.doubts = tuple(doubt for doubt in map(self._doubt, checks) if doubt is not None)

    def between(self, start: str, end: str) -> Stack:
        """Signed distance from `start` to `end`; raises Missing with the readings that would tie them."""
        reached = self._reached(start)
        if end not in reached:
            raise self._missing(start, end)
        return reached[end]

    def ties(self, start: str, end: str) -> bool:
        """Whether the readings tie the two faces."""
        return end in self._reached(start)

    def doubts_of(self, stack: Stack) -> tuple[Doubt, ...]:
        """The contradictions that touch what `stack` rests on."""
        return tuple(doubt for doubt in self.doubts if {doubt.key, *doubt.others} & stack.terms.keys())

    def _carry(self, root: str, links: list[Link]) -> set[str]:
        """Tie every face to `root` by its surest road (least sum of squared spreads, ties by keys); the keys used."""
        touching: dict[str, list[Link]] = {}
        for link in links:
            touching.setdefault(link.start, []).append(link)
            touching.setdefault(link.end, []).append(link)
        queue: list[tuple[float, tuple[str, ...], str, Link | None]] = [(0.0, (), root, None)]
        carrying: set[str] = set()
        while queue:
            squares, keys, face, by = heappop(queue)
            if face in self._tied:
                continue
            self._tied[face] = {}
            if by is not None:
                self._tie(by)
                carrying.add(by.key)
            for onward in touching.get(face, ()):
                other = onward.end if face == onward.start else onward.start
                heappush(queue, (squares + onward.spread_mm**2, (*keys, onward.key), other, onward))
        return carrying

    def _tie(self, link: Link) -> None:
        stack = Stack.of(link.key, link.mm, link.spread_mm)
        self._tied[link.start][link.end] = stack
        self._tied[link.end][link.start] = stack.times(-1)

    def _reached(self, start: str) -> dict[str, Stack]:
        """Every face tied to `start`, found once for each."""
        if start not in self._from:
            self._from[start] = self._walk(start)
        return self._from[start]

    def _walk(self, start: str) -> dict[str, Stack]:
        reached, open_faces = {start: Stack(0.0)}, [start]
        while open_faces:
            face = open_faces.pop()
            for onward, stack in self._tied.get(face, {}).items():
                if onward not in reached:
                    reached[onward] = reached[face].plus(stack)
                    open_faces.append(onward)
        return reached

    def _doubt(self, link: Link) -> Doubt | None:
        others = self._reached(link.start)[link.end]
        spread = hypot(others.rss_mm, link.spread_mm)
        if abs(link.mm - others.mm) <= spread + 1e-9:
            return None
        return Doubt(link.key, tuple(others.terms), (link.start, link.end), link.mm, others.mm, spread)

    def _missing(self, start: str, end: str) -> Missing:
        wanted = self._fewest(start, end)
        if not wanted:
            return Missing([f"{start} to {end}"], f"the distance from {start} to {end} along the column")
        return Missing([one.key for one in wanted], "; ".join(one.measure for one in wanted))

    def _fewest(self, start: str, end: str) -> tuple[Untaken, ...]:
        """The fewest readings, none of them taken yet, that would tie the two faces; ties by key."""
        queue: list[tuple[int, tuple[str, ...], str]] = [(0, (), start)]
        known = {one.key: one for one in self._untaken}
        done: set[str] = set()
        while queue:
            count, keys, face = heappop(queue)
            if face == end:
                return tuple(known[key] for key in keys)
            if face in done:
                continue
            done.add(face)
            for onward in self._tied.get(face, {}):
                heappush(queue, (count, keys, onward))
            for one in self._untaken:
                if face in (one.start, one.end):
                    onward = one.end if face == one.start else one.start
                    heappush(queue, (count + 1, (*keys, one.key), onward))
        return ()
