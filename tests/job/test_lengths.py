"""Lengths as typed: every accepted spelling against exact fractions, every refusal by its words.

1 in = 25.4 mm and 1 ft = 304.8 mm exactly: the international yard and pound agreement of 1959; also NIST SP 811,
appendix B (both recalled from memory). The mm of 1/64 in to 63/64 in are those of the usual decimal equivalent charts.
"""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import BaseModel, ValidationError

from fitcheck.errors import LengthError
from fitcheck.job.lengths import Length, parse_length

INCH, FOOT = Fraction(254, 10), Fraction(3048, 10)
HALF = Fraction(1, 2)

READ = {
    "15 1/2 in": (15 + HALF) * INCH,
    "15 1/2in": (15 + HALF) * INCH,
    '15-1/2"': (15 + HALF) * INCH,
    '15 1/2"': (15 + HALF) * INCH,
    '15½"': (15 + HALF) * INCH,
    "15 ½ in": (15 + HALF) * INCH,
    "15-½ in": (15 + HALF) * INCH,
    "½ in": HALF * INCH,
    "¼ in": INCH / 4,
    "¾ in": INCH * 3 / 4,
    "⅛ in": INCH / 8,
    "⅜ in": INCH * 3 / 8,
    "⅝ in": INCH * 5 / 8,
    "2⅞ in": (2 + Fraction(7, 8)) * INCH,
    "15 1\N{FRACTION SLASH}2 in": (15 + HALF) * INCH,
    "15.5 in": (15 + HALF) * INCH,
    ".5 in": HALF * INCH,
    "1/2 in": HALF * INCH,
    "63/64 in": Fraction(63, 64) * INCH,
    "4/8 in": HALF * INCH,
    "15 in.": 15 * INCH,
    "15 inch": 15 * INCH,
    "15 1/2 inches": (15 + HALF) * INCH,
    "15 IN": 15 * INCH,
    "1' 3 1/2\"": FOOT + (3 + HALF) * INCH,
    "1'3½\"": FOOT + (3 + HALF) * INCH,
    "1'-3 1/2\"": FOOT + (3 + HALF) * INCH,
    "1\N{RIGHT SINGLE QUOTATION MARK} 3\N{RIGHT DOUBLE QUOTATION MARK}": FOOT + 3 * INCH,
    "1\N{PRIME} 3\N{DOUBLE PRIME}": FOOT + 3 * INCH,
    "1 ft 3 in": FOOT + 3 * INCH,
    "1 ft 3 1/2 in": FOOT + (3 + HALF) * INCH,
    "2 ft": 2 * FOOT,
    "1 1/2 ft": (1 + HALF) * FOOT,
    "2 feet": 2 * FOOT,
    "394 mm": Fraction(394),
    "39.4 cm": Fraction(394),
    "0.394 m": Fraction(394),
    "  394\N{NO-BREAK SPACE}mm\t": Fraction(394),
    "0 in": Fraction(0),
    "-1/2 in": -HALF * INCH,
    "\N{MINUS SIGN}3 in": -3 * INCH,
    "- 15 1/2 in": -(15 + HALF) * INCH,
    "+3 mm": Fraction(3),
    "100 m": Fraction(100_000),
}

WITH_SPREAD = {
    "412 mm ± 3 mm": (412, 3),
    "412 mm±3mm": (412, 3),
    "412 mm +/- 3 mm": (412, 3),
    "412 mm +- 3 mm": (412, 3),
    "412 ± 3 mm": (412, 3),
    "-412 ± 3 mm": (-412, 3),
    "15 1/2 ± 1/8 in": ((15 + HALF) * INCH, INCH / 8),
    "15 1/2 in ± 3 mm": ((15 + HALF) * INCH, 3),
    '1\' 3" ± 1/8"': (FOOT + 3 * INCH, INCH / 8),
    "412 mm ± 0 mm": (412, 0),
}

TAPE = "write fractions in 2, 4, 8, 16, 32 or 64, all else as a decimal"
NOT_BELOW_1 = 'the fraction is not below 1; write whole number, blank, fraction: "15 1/2"'
HYPHEN = 'a hyphen with blanks could be a minus; write whole number, blank, fraction, as in "15 1/2 in"'
EXAMPLES = r'"15 1/2 in" or "1' + r"' 3 1/2\"" + r'" or "394 mm"'

ONE_POINT = "write the number with a point for its fraction and no other sign"
REFUSED = {
    "": "nothing is written here; write a number with its unit, or leave the key out",
    " \t": "nothing is written here; write a number with its unit, or leave the key out",
    "15": '"15" has no unit; write "15 in" or "15 mm"',
    "15.5": '"15.5" has no unit; write "15.5 in" or "15.5 mm"',
    "-15": '"-15" has no unit; write "-15 in" or "-15 mm"',
    "15 1/2": '"15 1/2" has no unit; write "15 1/2 in"',
    "12,5 mm": '"12,5 mm": a comma is read differently in different places; write 12.5 mm or 125 mm',
    "1,200 mm": '"1,200 mm": a comma is read differently in different places; write 1.200 mm or 1200 mm',
    "1.234,5 mm": f'"1.234,5 mm": {ONE_POINT}, as in 1234.5',
    "1,234.5 mm": f'"1,234.5 mm": {ONE_POINT}, as in 1234.5',
    "1,234,567 mm": f'"1,234,567 mm": {ONE_POINT}',
    "1.234.5 mm": f'"1.234.5 mm": {ONE_POINT}',
    "1 200 mm": '"1 200 mm": two numbers stand side by side; write one number with its unit',
    "1_200 mm": '"1_200 mm": write the number without a separator',
    "1'200 mm": '"1\'200 mm" mixes units; only feet and inches go together, so write it in one unit',
    "1 in 3 mm": '"1 in 3 mm" mixes units; only feet and inches go together, so write it in one unit',
    "1 m 20 cm": '"1 m 20 cm" mixes units; only feet and inches go together, so write it in one unit',
    "1 in 3 ft": '"1 in 3 ft" mixes units; only feet and inches go together, so write it in one unit',
    "1 ft 3": '"1 ft 3": the last number has no unit; write it, as in "1 ft 3 1/2 in"',
    "1.5 ft 3 in": '"1.5 ft 3 in": before inches the feet are a whole number, as in "1 ft 3 1/2 in"',
    "1 ft 12 in": '"1 ft 12 in": after feet the inches stay below 12; write it in one unit',
    "٣ mm": '"٣ mm": "٣" is not one of the digits 0 to 9; write it with those',
    "\N{FULLWIDTH DIGIT THREE} mm": '"\N{FULLWIDTH DIGIT THREE} mm": "\N{FULLWIDTH DIGIT THREE}" '
    "is not one of the digits 0 to 9; write it with those",
    "3² mm": '"3² mm": "²" is not one of the digits 0 to 9; write it with those',
    "1/0 in": f'"1/0": a tape has no 1/0; {TAPE}',
    "3/0 in": f'"3/0": a tape has no 1/0; {TAPE}',
    "1/7 in": f'"1/7": a tape has no 1/7; {TAPE}',
    "3/10 in": f'"3/10": a tape has no 1/10; {TAPE}',
    "⅓ in": f'"1/3": a tape has no 1/3; {TAPE}',
    "\N{FRACTION NUMERATOR ONE}2 in": f'"1/ 2 in": not a length; write it as in {EXAMPLES}',
    "1/128 in": f'"1/128": a tape has no 1/128; {TAPE}',
    "15 3/2 in": f'"15 3/2": {NOT_BELOW_1}',
    "151/2 in": f'"151/2": {NOT_BELOW_1}',
    "2/2 in": f'"2/2": {NOT_BELOW_1}',
    "½2 in": '"1/2 2 in": two numbers stand side by side; write one number with its unit',
    "⅓2 in": '"1/3 2 in": two numbers stand side by side; write one number with its unit',
    "2 1/2 mm": '"2 1/2 mm": fractions go with inches; write a decimal, as in "12.5 mm"',
    "15 - 1/2 in": f'"15 - 1/2 in": {HYPHEN}',
    "15 -1/2 in": f'"15 -1/2 in": {HYPHEN}',
    "15. in": '"15. in": digits are missing after the point',
    "nan mm": '"nan mm": there is no number in it',
    "inf mm": '"inf mm": there is no number in it',
    "in": '"in": there is no number in it',
    "1e3 mm": '"1e3 mm": write the number out, without an exponent',
    "200 m": '"200 m" is over 100 m; nothing on a car is, so check number and unit',
    "-100.001 m": '"-100.001 m" is over 100 m; nothing on a car is, so check number and unit',
    "15 thou": '"15 thou": "thou" is no unit of length known here; write mm, cm, m, in or ft',
    "15''": "\"15''\": \"''\" is no unit of length known here; write mm, cm, m, in or ft",
    "15 in long": f'"15 in long": not a length; write it as in {EXAMPLES}',
    "15\N{ZERO WIDTH SPACE} mm": f'"15\\u200B mm": not a length; write it as in {EXAMPLES}',
    "9" * 81 + " mm": f'"{"9" * 40}..." is longer than 80 characters; write the reading alone',
    "± 3 mm": '"± 3 mm" needs a reading before the ± and its spread after it',
    "3 mm ±": '"3 mm ±" needs a reading before the ± and its spread after it',
    "3 mm ± -1 mm": '"3 mm ± -1 mm": a spread is not negative; write it without the minus',
    "15 ± 1' 3\"": '"15" has no unit; write "15 in" or "15 mm"',
    "3 mm ± 1": '"1" has no unit; write "1 in" or "1 mm"',
    "3 mm ± 1 mm ± 1 mm": '"3 mm ± 1 mm ± 1 mm" states two spreads; write one',
    "1' 3 ± 1/8 in": '"1\' 3": the last number has no unit; write it, as in "1 ft 3 1/2 in"',
}


class Part(BaseModel):
    length: Length


@pytest.mark.parametrize(("text", "mm"), READ.items())
def test_a_length_is_read_exactly(text: str, mm: Fraction) -> None:
    assert parse_length(text) == Length(float(mm), None, text.strip())


@pytest.mark.parametrize(("text", "expected"), WITH_SPREAD.items())
def test_a_length_brings_the_spread_it_states(text: str, expected: tuple[Fraction, Fraction]) -> None:
    length = parse_length(text)
    assert (length.mm, length.spread_mm) == (float(expected[0]), float(expected[1]))


@pytest.mark.parametrize(("text", "message"), REFUSED.items())
def test_what_is_refused_says_what_to_write(text: str, message: str) -> None:
    with pytest.raises(LengthError) as caught:
        parse_length(text)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    ("text", "mm"), [("1/64 in", 0.396875), ("5/32 in", 3.96875), ("11/16 in", 17.4625), ("63/64 in", 25.003125)]
)
def test_against_the_decimal_equivalent_chart(text: str, mm: float) -> None:
    assert parse_length(text).mm == mm


def read_or_refusal(text: str) -> Length | str:
    try:
        return parse_length(text)
    except LengthError as refusal:
        return str(refusal)


@given(st.text(max_size=100) | st.text(alphabet="0123456789 .,/-+±½⅓'\"\N{MINUS SIGN}infmcte", max_size=24))
def test_no_text_raises_anything_else(text: str) -> None:
    found = read_or_refusal(text)
    if isinstance(found, str):
        assert found
    else:
        assert -100_000 <= found.mm <= 100_000
        assert found.spread_mm is None or 0 <= found.spread_mm <= 100_000


@given(
    st.sampled_from(["", "-", "\N{MINUS SIGN}"]),
    st.integers(0, 3000),
    st.integers(1, 6).flatmap(lambda power: st.tuples(st.integers(0, 2**power - 1), st.just(2**power))),
    st.sampled_from([" ", "-"]),
    st.sampled_from([" in", "in", '"', " inches", "\N{DOUBLE PRIME}"]),
)
def test_every_whole_and_fraction_is_its_fraction(
    sign: str, whole: int, part: tuple[int, int], between: str, unit: str
) -> None:
    exact = (whole + Fraction(*part)) * INCH * (-1 if sign else 1)
    assert parse_length(f"{sign}{whole}{between}{part[0]}/{part[1]}{unit}").mm == float(exact)


@given(
    st.integers(0, 99_999), st.text("0123456789", max_size=9), st.sampled_from([("mm", 1), ("cm", 10), ("in", INCH)])
)
def test_every_decimal_is_its_fraction(whole: int, decimals: str, unit: tuple[str, Fraction]) -> None:
    number = f"{whole % 3000}.{decimals}" if decimals else str(whole % 3000)
    assert parse_length(f"{number} {unit[0]}").mm == float(Fraction(number) * unit[1])


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (394, "the bare number 394"),
        (39.4, "the bare number 39.4"),
        (True, "true"),
        ([], "a list"),
        ({}, "a table"),
    ],
)
def test_a_field_takes_text_only(value: object, said: str) -> None:
    with pytest.raises(ValidationError) as caught:
        Part.model_validate({"length": value})
    [error] = caught.value.errors()
    assert str(error["ctx"]["error"]) == f"{said} is not a length; write it in quotes, as in {EXAMPLES}"


def test_a_field_keeps_the_text_and_describes_itself_to_editors() -> None:
    part = Part.model_validate({"length": " 15 1/2 in "})
    assert part.length == parse_length("15 1/2 in")
    assert part.model_dump_json() == '{"length":"15 1/2 in"}'
    assert Part(length=parse_length("3 mm")).length.mm == 3.0
    schema = Part.model_json_schema()["properties"]["length"]
    assert schema["type"] == "string"
    assert schema["description"] == "a length, with its unit"
    assert [parse_length(example).mm for example in schema["examples"]] == [393.7, 393.7, 394.0, 412.0]
