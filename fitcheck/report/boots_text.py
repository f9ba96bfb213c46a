"""Boots and legs as plain text: boots on their pedals, what they do off them, shins, and the room between pads."""

from collections.abc import Iterator
from textwrap import wrap
from typing import TYPE_CHECKING

from fitcheck.clearance.boots import ROOM_LOOKED_FOR_MM, USUAL_SPACING_MM, SideRoom
from fitcheck.confidence.boots import BootsChapter, Leg
from fitcheck.confidence.results import Judged, Result, worst_first
from fitcheck.placement.scene import Scene
from fitcheck.report import words
from fitcheck.report.gap_text import gap, in_full, in_short
from fitcheck.report.rows import bulleted, hung, label

if TYPE_CHECKING:
    from fitcheck.verdict import Verdict

BEFORE_SHOWN = 3
NEAR_BEFORE_MM = 50.0  # old parts farther off than this say nothing to a fabricator


def boots_text(verdict: "Verdict", head: list[str], width: int) -> str:
    """The whole chapter under `head`, lines that say whose job it is."""
    boots, show = verdict.boots, verdict.opened.job.job.show
    assert boots is not None
    blocks = (
        head,
        wrap(f"BOOTS: {boots.result.value}. {_size(boots, show)}", width, subsequent_indent="  "),
        _legs(
            "Boots on their pedals, through the whole of the travel", boots.on_pedals, boots, verdict.scene, show, width
        ),
        _legs("Off the pedals, and legs", boots.off_pedals, boots, verdict.scene, show, width),
        _spacing(boots, show, width),
        bulleted("Not looked at yet", _waiting(verdict), width),
        bulleted("Worked with", [*_heels(verdict), *boots.notes], width),
        bulleted("Cautions", words.CAUTIONS, width),
    )
    return "\n\n".join("\n".join(block) for block in blocks if block) + "\n"


def boots_rows(boots: BootsChapter, scene: Scene, show: words.Show, width: int) -> list[str]:
    """The chapter in short, for the whole verdict: what comes nearest to a new part, on a pedal and off."""
    told = [f"Boots: {boots.result.value}."]
    for where, legs in (("on a pedal", boots.on_pedals), ("off the pedals", boots.off_pedals)):
        entries = [(leg.worst, leg.name) for leg in legs if leg.new]
        if entries:
            entry, name = min(entries, key=lambda each: worst_first(each[0]))
            told.append(f"Nearest to a new part {where}: {name}, to the {_nearest(entry, name, scene, show)}.")
    return wrap(" ".join([*told, "All of it is in: fitcheck boots"]), width, subsequent_indent="  ")


def _size(boots: BootsChapter, show: words.Show) -> str:
    size = boots.size
    return (
        f"Each boot {words.size(size.length, show)} long and {words.size(size.breadth, show)} wide, ball "
        f"{words.size(size.ball, show)} from the heel's rear edge: {boots.size_from}."
    )


def _legs(
    title: str, legs: tuple[Leg, ...], boots: BootsChapter, scene: Scene, show: words.Show, width: int
) -> list[str]:
    told: set[str] = set()
    rows = [title]
    for leg in legs:
        about = [leg.name + ":", *_of_new(leg, scene, show, told)]
        about += [_heel(leg)] if leg.heel_known else []
        about += list(_beside(leg.name, boots.rooms, show))
        about += list(_before(leg, scene, show))
        rows += hung(_label(leg.worst) if leg.new else "  [ ] nothing new near", about, width)
    return rows if legs else []


def _label(entry: Judged) -> str:
    return label(words.MARKS[entry.result], entry.result.value)


def _of_new(leg: Leg, scene: Scene, show: words.Show, told: set[str]) -> Iterator[str]:
    """The nearest new part, and every further one that is not clear."""
    for i, entry in enumerate(leg.new):
        if entry.result is not Result.CLEAR:
            yield from in_full(entry, scene, show, told)
        elif i == 0:
            yield from in_short(entry, scene, show)


def _nearest(entry: Judged, name: str, scene: Scene, show: words.Show) -> str:
    """The gap to the other part, by its name alone."""
    if entry.found.closest is None:
        return f"{_other(entry, name)}, {entry.reason}"
    required = words.need(entry.pair.need.required_mm, show)
    return f"{_other(entry, name)}, {gap(entry, scene, show)} (required {required})"


def _heel(leg: Leg) -> str:
    if leg.heel_lifts is None:
        return "heel: stays on the floor"
    return "heel: off the floor throughout" if leg.heel_lifts <= 0 else f"heel: lifts at {leg.heel_lifts:.0%} of travel"


def _beside(name: str, rooms: tuple[SideRoom, ...], show: words.Show) -> Iterator[str]:
    own = [room for room in rooms if room.boot == name]
    if own:
        yield "room beside it: " + "; ".join(_room(room, show) for room in own)


def _room(room: SideRoom, show: words.Show) -> str:
    if room.to is None:
        return f"over {words.size(ROOM_LOOKED_FOR_MM, show)} to the driver's {room.side}"
    return f"{words.room(room.at_least_mm, show)} to the driver's {room.side}, then {room.to}"


def _before(leg: Leg, scene: Scene, show: words.Show) -> Iterator[str]:
    """The nearest parts that were there before."""
    near = [entry for entry in leg.before if _is_near(entry)]
    if near:
        listed = (f"{_other(entry, leg.name)} {gap(entry, scene, show)}" for entry in near[:BEFORE_SHOWN])
        yield "as before: " + "; ".join(listed)


def _other(entry: Judged, name: str) -> str:
    return entry.pair.b.name if entry.pair.a.name == name else entry.pair.a.name


def _is_near(entry: Judged) -> bool:
    closest = entry.found.closest
    return closest is not None and closest.gap.bracketed and closest.gap.bound_mm < NEAR_BEFORE_MM


def _spacing(boots: BootsChapter, show: words.Show, width: int) -> list[str]:
    if not boots.spacing:
        return []
    usual = words.size(USUAL_SPACING_MM, show)
    rows = wrap(
        f"Pads, clear of each other sideways at rest (usual {usual}, common practice; reported, not judged)", width
    )
    for each in boots.spacing:
        apart = (
            words.room(each.sideways_mm, show)
            if each.sideways_mm >= 0
            else f"overlap by {words.size(-each.sideways_mm, show)}"
        )
        less = "" if each.sideways_mm >= USUAL_SPACING_MM else ", less than usual"
        rows += hung("", [f"{each.left} - {each.right}: {apart}{less}"], width)
    return rows


def _waiting(verdict: "Verdict") -> list[str]:
    """What of boots and legs the job does not hold."""
    return [
        f"{entry.what}: measure {entry.measure} (key: {', '.join(entry.missing)})"
        for entry in verdict.not_yet
        if any(key.startswith("driver") for key in entry.missing)
    ]


def _heels(verdict: "Verdict") -> list[str]:
    return [remark for remark in verdict.remarks if remark.startswith(("boot on ", "driver."))]
