"""How each end is held in its hub: positive retention, by a way that goes with what the end is. All common practice."""

from collections.abc import Iterator
from typing import Literal

from fitcheck.job.shaft_ends import End
from fitcheck.job.shafting import Hub
from fitcheck.limits import LimitResult, NotKnown
from fitcheck.shaft.results import Check
from fitcheck.shaft.setup import Setup

Side = Literal["wheel", "rack"]
SIDES: tuple[Side, ...] = ("wheel", "rack")
BY_FRICTION = ("set screw", "pinch bolt")  # all there is to them on a plain round end


def retention(setup: Setup) -> Iterator[Check]:
    """One check for each hub."""
    for i, joint in enumerate(setup.shaft.joints):
        for side in SIDES:
            hub = joint.wheel_hub if side == "wheel" else joint.rack_hub
            what, key = f"{joint.name}, toward the {side}: positive retention", f"joints[{i + 1}].{side}_hub.held_by"
            yield _held(setup, i, side, hub, what, key)


def _held(setup: Setup, joint: int, side: Side, hub: Hub | None, what: str, key: str) -> Check:
    if hub is None or hub.held_by is None:
        measure = "how the shaft is held in it: screw, bolt or, by its maker, weld"
        return Check.waiting(key, what, NotKnown(what, (f"shaft.{key}",), measure))
    end, name = end_in(setup, joint, side)
    if hub.held_by == "weld" and end is None:
        return Check.waiting(key, what, NotKnown(what, (name,), "what the end is that the joint is welded on"))
    against = _against(hub.held_by, end, hollow(setup, joint, side))
    if against:
        return Check(key, what, LimitResult.OUTSIDE, note=f"{hub.held_by}: {against}")
    return Check(key, what, LimitResult.KEEPS, note=hub.held_by)


def _against(held_by: str, end: End | None, is_hollow: bool) -> str:
    """What stands against holding that end that way, in words; empty where nothing does."""
    if held_by == "set screw" and is_hollow:
        return "the end in it is hollow, and a dimple goes past half its wall; a through bolt holds it"
    if end is None:
        return ""
    if held_by == "weld" and end.kind != "weld-on":
        return f"no weld on a {end.kind} end: its joint is made to be bolted; a weld belongs on a weld-on joint alone"
    if held_by in BY_FRICTION and end.kind == "weld-on":
        return "the end in it is plain and round: a screw or clamp holds it by friction alone"
    return ""


def end_in(setup: Setup, joint: int, side: Side) -> tuple[End | None, str]:
    """The shaft end in that hub, where it is given, and its key."""
    piece = joint - 1 if side == "wheel" else joint
    if piece < 0:
        return setup.shaft.upper.end, "shaft.upper.end"
    if piece == len(setup.shaft.joints) - 1:
        return setup.shaft.lower.end, "shaft.lower.end"
    own = "rack_end" if side == "wheel" else "wheel_end"
    key = f"shaft.pieces[{piece + 1}].{own}"
    return (getattr(setup.shaft.pieces[piece], own) if setup.shaft.pieces else None), key


def hollow(setup: Setup, joint: int, side: Side) -> bool:
    """Whether the shaft end in that hub is a tube."""
    piece = joint - 1 if side == "wheel" else joint
    if piece < 0:
        bar = None if setup.job.cuts is None else setup.job.cuts.bar
        return bar is not None and bar.bore is not None
    if piece >= len(setup.shaft.pieces):
        return False
    part, own = setup.shaft.pieces[piece], "rack" if side == "wheel" else "wheel"
    tube_half = part.telescope is not None and part.telescope.solid_toward != own
    return tube_half or part.hollow is not None
