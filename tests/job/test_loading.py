"""A job file with faults: all of them at once, each at its line and column, in words, with what to write.

The model here is a small invented one with every kind of field a job has.
"""

import tomllib
from typing import Annotated, Any, Literal, Self

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import BaseModel, ConfigDict, Discriminator, Field, Tag, model_validator

from fitcheck.errors import Fault, JobError
from fitcheck.job.angles import ClockAngle, SillAngle
from fitcheck.job.lengths import Length
from fitcheck.job.loading import MisfitError, fault_at, load


class Table(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class Offsets(Table):
    back: Length | None = None
    forward: Length | None = None
    up: Length = Field(description="how far above", examples=['"337 mm"'])
    from_: str | None = Field(None, alias="from")

    @model_validator(mode="after")
    def _one_way(self) -> Self:
        if self.back and self.forward:
            raise ValueError("'back' and 'forward' are one direction; write one of them")
        return self


class OffColumn(Table):
    along: Length
    clock: ClockAngle


def _spelling(value: Any) -> str:
    return "off" if isinstance(value, dict) and {"along", "clock"} & set(value) else "offsets"


Place = Annotated[Annotated[OffColumn, Tag("off")] | Annotated[Offsets, Tag("offsets")], Discriminator(_spelling)]


class Box(Table):
    kind: Literal["box"]
    box: Length


class Drum(Table):
    kind: Literal["drum"]
    dia: Length


class Pedal(Table):
    name: str = Field(min_length=1, description="its name")
    hangs: Literal["hanging", "floor-hinged"]
    travel: Length = Field(description="pad centre, rest to full travel", examples=['"5 1/2 in"'])
    arm: list[Place] = Field(default_factory=list, max_length=3)
    teeth: int | None = Field(None, ge=8)
    turns: bool = False


class Sat(Table):
    sill: SillAngle
    loaded: bool


class Car(Table):
    name: str
    sat: Sat | Literal["level"] = "level"
    points: dict[Annotated[str, Field(min_length=1)], Place] = Field(default_factory=dict)
    pedals: list[Pedal] = Field(default_factory=list)
    between: tuple[str, str] | None = None
    solid: Annotated[Box | Drum, Field(discriminator="kind")] | None = None
    hub: Length | OffColumn | Offsets | None = None
    seen: tuple[Literal["front", "rear"], ...] = ()
    share: float | None = Field(None, lt=1)

    @model_validator(mode="after")
    def _names_once(self) -> Self:
        names = [pedal.name for pedal in self.pedals]
        twice = [i for i, name in enumerate(names) if name in names[:i]]
        if twice:
            raise MisfitError(*((("pedals", i, "name"), f'"{names[i]}" is taken already') for i in twice))
        return self


def faults_of(text: str) -> list[str]:
    with pytest.raises(JobError) as caught:
        load(text, "car.toml", Car)
    assert str(caught.value) == "\n".join(map(str, caught.value.faults))
    return [str(fault) for fault in caught.value.faults]


TEN_FAULTS = """\
nam = "saloon"
sat = "flat"
between = ["clutch"]

[points]
hub = { back = 25.125, up = "14 3/8 in" }
pivot = { back = "2 3/4 in", forward = "1 in", up = "11 in" }
mark = { along = "21 1/2 in", clok = "10:30" }

[[pedals]]
name = "clutch"
hangs = "hangign"
travel = "5 1/2"

[[pedals]]
name = 'brake'
hangs = "hanging"
[[pedals.arm]]
up = "12,5 mm"
"""


def test_all_faults_of_a_file_come_at_once_in_its_order() -> None:
    assert faults_of(TEN_FAULTS) == [
        "car.toml:1:1: nam: unknown key; did you mean 'name'? "
        "allowed here: name, sat, points, pedals, between, solid, hub, seen, share",
        'car.toml:2:7: sat: a table belongs here, not the text "flat"; write a table [sat]; or: '
        '"flat" is not allowed here; write "level"',
        "car.toml:3:11: between: too short; item 2 is missing",
        "car.toml:6:16: points.hub.back: the bare number 25.125 is not a length; write it in quotes, as in "
        '"15 1/2 in" or "1\' 3 1/2\\"" or "394 mm"',
        "car.toml:7:9: points.pivot: 'back' and 'forward' are one direction; write one of them",
        "car.toml:8:31: points.mark.clok: unknown key; did you mean 'clock'? allowed here: along, clock",
        'car.toml:12:9: pedals[1].hangs: "hangign" is not allowed here; did you mean "hanging"? '
        'write "hanging" or "floor-hinged"',
        'car.toml:13:10: pedals[1].travel: "5 1/2" has no unit; write "5 1/2 in"',
        'car.toml:15:3: pedals[2].travel: missing: pad centre, rest to full travel; write travel = "5 1/2 in"',
        'car.toml:19:6: pedals[2].arm[1].up: "12,5 mm": a comma is read differently in different places; '
        "write 12.5 mm or 125 mm",
    ]


HEAD = 'name = "x"\n'
ONE_FAULT = {
    "": 'car.toml:1:1: name: missing; write name = "..."',
    "name = 5": 'car.toml:1:8: name: text in quotes belongs here, not the bare number 5; write name = "..."',
    HEAD + "pedals = 3": "car.toml:2:10: pedals: a list belongs here, not the bare number 3; write a table [[pedals]]",
    HEAD + "[pedals]\nname = 1": "car.toml:2:2: pedals: a list belongs here, not a table; write a table [[pedals]]",
    HEAD + "points.hub = 5": "car.toml:2:14: points.hub: a table belongs here, not the bare number 5",
    HEAD + "points = 1979-05-27": "car.toml:2:10: points: a table belongs here, not a date or time",
    HEAD + "points.'a b'.up = true": 'car.toml:2:19: points."a b".up: true is not a length; write it in quotes, '
    'as in "15 1/2 in" or "1\' 3 1/2\\"" or "394 mm"',
    HEAD + "points.a = {}": 'car.toml:2:12: points.a.up: missing: how far above; write up = "337 mm"',
    HEAD + "[points.a]": 'car.toml:2:9: points.a.up: missing: how far above; write up = "337 mm"',
    HEAD + "[points.a]\nup = '1 in'\nfrm = 'b'": "car.toml:4:1: points.a.frm: unknown key; did you mean 'from'? "
    "allowed here: back, forward, up, from",
    HEAD + "[points.a]\nup = '1 in'\nx = 'b'": "car.toml:4:1: points.a.x: unknown key; "
    "allowed here: back, forward, up, from",
    HEAD + "[points.a]\nup = '1 in'\nfrom_ = 'b'": "car.toml:4:1: points.a.from_: unknown key; did you mean 'from'? "
    "allowed here: back, forward, up, from",
    HEAD + "[points.a]\nalong = '1 in'": 'car.toml:2:9: points.a.clock: missing; write clock = "10:45"',
    HEAD + "[points.a]\nalong = '1 in'\nclock = '13:00'": 'car.toml:4:9: points.a.clock: "13:00": '
    'a clock face runs from 1:00 to 12:59; half past twelve is "12:30"',
    HEAD + "points.'' = {up = '1 in'}": 'car.toml:2:8: points."": as a key: must not be empty',
    HEAD + "hub.back = '1 in'": 'car.toml:2:1: hub.up: missing: how far above; write up = "337 mm"',
    HEAD + "hub = '1'": 'car.toml:2:7: hub: "1" has no unit; write "1 in" or "1 mm"',
    HEAD + "seen = ['front', 'raer']": 'car.toml:2:18: seen[2]: "raer" is not allowed here; did you mean "rear"? '
    'write "front" or "rear"',
    HEAD + "sat.loaded = true": 'car.toml:2:1: sat.sill: missing; write sill = "0.4 deg nose up"',
    HEAD + "sat = {sill = 'level', loaded = 2}": "car.toml:2:33: sat.loaded: true or false belongs here, "
    "not the bare number 2; write loaded = true or false",
    HEAD + "teeth = 9": "car.toml:2:1: teeth: no key of this table; it belongs under [[pedals]]",
    HEAD + "[[arm]]\nup = '1 in'": "car.toml:2:3: arm: no key of this table; it belongs under [[pedals.arm]]",
    HEAD + "share = 1.0": "car.toml:2:9: share: 1.0 is not below 1.0",
    HEAD + "share = 'much'": 'car.toml:2:9: share: a number belongs here, not the text "much"',
    HEAD + "between = ['a', 'b', 'c']": "car.toml:2:11: between: has 3 items; at most 2 are allowed",
    HEAD + "solid = {}": 'car.toml:2:9: solid.kind: missing; write kind = "box" or "drum"',
    HEAD + "solid = 5": "car.toml:2:9: solid: a table belongs here, not the bare number 5",
    HEAD + "solid.kind = 'bix'": 'car.toml:2:14: solid.kind: "bix" is not allowed here; did you mean "box"? '
    'write "box" or "drum"',
    HEAD + "solid.kind = 'box'": 'car.toml:2:1: solid.box: missing; write box = "15 1/2 in"',
    HEAD + "solid = {kind = 'box', box = '1 in', dia = '2 in'}": "car.toml:2:38: solid.dia: unknown key; "
    "allowed here: kind, box",
}
PEDAL = HEAD + "[[pedals]]\nname = 'a'\nhangs = 'hanging'\ntravel = '5 in'\n"
ONE_FAULT |= {
    PEDAL.replace("'a'", "''"): "car.toml:3:8: pedals[1].name: must not be empty",
    PEDAL + "teeth = 6": "car.toml:6:9: pedals[1].teeth: 6 is not at least 8",
    PEDAL + "teeth = 8.5": "car.toml:6:9: pedals[1].teeth: a whole number belongs here, not the bare number 8.5",
    PEDAL + "arm = [{up='1 in'},{up='1 in'},{up='1 in'},{up='1 in'}]": "car.toml:6:7: pedals[1].arm: "
    "has 4 items; at most 3 are allowed",
    PEDAL + "arm = [{up = '1 in'}, 'b']": 'car.toml:6:23: pedals[1].arm[2]: a table belongs here, not the text "b"',
    PEDAL + PEDAL.removeprefix(HEAD): 'car.toml:7:8: pedals[2].name: "a" is taken already',
}


@pytest.mark.parametrize(("text", "fault"), ONE_FAULT.items())
def test_one_mistake_is_one_fault(text: str, fault: str) -> None:
    assert faults_of(text) == [fault]


def test_a_good_file_becomes_the_model() -> None:
    car = load("\ufeff" + PEDAL.replace("\n", "\r\n") + "[points.a]\nup = '1 in'\nfrom = 'datum'\n", "car.toml", Car)
    assert car.pedals[0].travel.mm == 127.0
    point = car.points["a"]
    assert isinstance(point, Offsets)
    assert point.from_ == "datum"


CURLY = (
    'curly quotes, as a phone or a word processor writes them, are no quotes here: write the straight ", '
    'as in "15 1/2 in"'
)
BRACES = "everything between { and } stands on one line"
INCH = """an inch mark ends a text in double quotes; write in, as in "15 1/2 in", or '15 1/2"' in single quotes"""
NOT_TOML = {
    "a = 15 1/2 in": "car.toml:1:8: a: not TOML: something follows the value; one key on each line, text in quotes",
    'b = 1\na = "15 1/2""': f"car.toml:2:13: a: not TOML: {INCH}",
    'p = { a = "15 1/2"", b = "3 in" }': f"car.toml:1:19: p: not TOML: {INCH}",
    'p = ["pedal 1" "pedal 2"]': "car.toml:1:16: p: not TOML: a comma or the closing ] is missing",
    "a = 1\na = 2\nb = 3": "car.toml:2:6: a: not TOML: this key is written twice; keep one of them",
    "[a]\n[a]": "car.toml:2:3: a: not TOML: this table is written twice; put its keys together under one header",
    "a = \n": "car.toml:1:5: a: not TOML: no value stands here; text, lengths and angles go in quotes, "
    'as in "15 1/2 in"',
    "a = \u201c15 1/2 in\u201d": f"car.toml:1:5: a: not TOML: {CURLY}",
    'a = "25 1/16\u201d': f"car.toml:1:14: a: not TOML: {CURLY}",
    'a = "x': "car.toml:1:7: a: not TOML: the closing quote is missing",
    'a = "x\nb = 1': "car.toml:1:7: a: not TOML: the closing quote is missing on this line",
    "a = {b = 1,\n c = 2}": f"car.toml:1:12: a: not TOML: {BRACES}",
    "a = { b = 1 # here\n}": f"car.toml:1:13: a: not TOML: {BRACES}",
    "a = { b =\n 1}": f"car.toml:1:10: a: not TOML: {BRACES}",
    'a = [{ b = { c = "}",\n d = 2 } }]': f"car.toml:1:22: a: not TOML: {BRACES}",
    'a = { b = "{" }\nc = \nd = 1': "car.toml:2:5: c: not TOML: no value stands here; text, lengths and angles go in "
    'quotes, as in "15 1/2 in"',
    "a = {b = 1": "car.toml:1:11: a: not TOML: a comma or the closing } is missing",
    "é = 1": "car.toml:1:1: whole file: not TOML: a line is key = value or [table]; "
    "keys of other than letters, digits, - and _ go in quotes",
    "a = " + "9" * 5000: "car.toml:1:1: whole file: not TOML: a number of thousands of digits",
    "a = " + "[" * 5000: "car.toml:1:1: whole file: tables or lists are nested too deeply to be read",
}


@pytest.mark.parametrize(("text", "fault"), NOT_TOML.items())
def test_what_is_no_toml_is_one_fault_with_its_remedy(text: str, fault: str) -> None:
    assert faults_of(text) == [fault]


JARGON = ("pydantic", "http", "Value error", "Input", "validator", "instance", "off_column", "function")
ANYTHING = st.recursive(
    st.sampled_from(['""', '"x"', '"1 in"', "'level'", "1", "-1.5", "true", "inf", "07:32:00", "[]", "{}"]),
    lambda inner: (
        st.lists(inner, max_size=2).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(st.sampled_from(["up", "along", "kind", "name", "x"]), inner, max_size=3).map(
            lambda pairs: "{" + ", ".join(f"{key} = {value}" for key, value in pairs.items()) + "}"
        )
    ),
    max_leaves=4,
)


@settings(max_examples=300)
@given(st.dictionaries(st.sampled_from([*Car.model_fields, "nme", "é "]), ANYTHING, max_size=5))
def test_whatever_is_written_the_faults_are_in_words_and_in_the_file(pairs: dict[str, str]) -> None:
    text = "".join(f'"{key}" = {value}\n' for key, value in pairs.items())
    tomllib.loads(text)
    try:
        load(text, "car.toml", Car)
    except JobError as error:
        faults = error.faults
    else:
        return
    assert len(set(faults)) == len(faults)
    assert [(one.line, one.column) for one in faults] == sorted((one.line, one.column) for one in faults)
    assert not [one for one in faults for word in JARGON if word in one.message]
    assert all(1 <= one.line <= len(pairs) + 1 for one in faults)


@given(st.text(max_size=60) | st.text(alphabet="ab[]{}=.\"'\n\\ #1", max_size=60))
def test_no_text_raises_anything_but_a_job_error(text: str) -> None:
    try:
        load(text, "car.toml", Car)
    except JobError as error:
        faults = error.faults
    else:
        return
    assert faults
    assert all(1 <= one.line <= text.count("\n") + 1 for one in faults)


def test_a_fault_found_later_has_its_place_too() -> None:
    assert fault_at(PEDAL, "f", ("pedals", 0, "travel"), "too far") == Fault("f", 5, 10, "pedals[1].travel", "too far")
    assert fault_at(PEDAL, "f", ("pedals", 0, "pad", "at"), "?") == Fault("f", 2, 3, "pedals[1].pad.at", "?")
    assert fault_at(PEDAL, "f", (), "?") == Fault("f", 1, 1, "whole file", "?")
