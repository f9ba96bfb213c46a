"""Where keys and values stand: hand-made nasty documents, and random ones in which every value is told from the others.

The paths are held against what `tomllib` of the standard library reads from the same text, the places against the text.
"""

import tomllib
from collections.abc import Iterator

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from fitcheck.job.positions import Path, key_positions, positions

NASTY = {
    "empty": "",
    "only a comment": "# a = 1",
    "dots": "a.b.c = 1\na . d = 2\na.b.\"e.f\" = 3\n'x y'.z = 4",
    "quoted keys": '"" = 1\n"a\\u0062\\"]=#" = 2\n\'#[x]\' = 3\n["t.u"]\nv = 4\n[t."u v".\'w\']\n"k=" = 5',
    "signs in texts": 'a = "[x] # = { } \\" , "\nb = \'\\\'\nc = ["]", "#", \'}\']\nd = { e = "}," , f = "#" }',
    "many lines": 'a = """\nb = 1\n[c]\n""\\"" """\nd = \'\'\'\n[[e]] \'\' \'\'\'\n'
    'f = """x"""""\ng = \'\'\'y\'\'\'\'\'\nh = ""\ni = 1',
    "lists": "a = [ # [\n  1,\n\t[2, [3,], {b = 4}],\n # ]\n]\nc = []\nd = [[],[ ]]",
    "inline": "p = { a = 1, b.c = 2, d = { e = [ { f = 3 } ] } , g.h.i = 4 }\nq = {}\nr={ }",
    "headers": "[a.b.c]\nx = 1\n[a]\ny = 2\n[a.b]\nz = 3\n[ d . 'e' ] # c\nx = 4",
    "lists of tables": "[[p]]\nn = 1\n[p.q]\nr = 2\n[[p.s]]\nt = 3\n"
    "[[p.s]]\n[p.s.u]\nv = 4\n[[p]]\n[[p.s]]\nt = 5\n[[p]]",
    "implicit before": "[[a.b]]\nc = 1\n[a.d]\ne = 2\n[[a.b]]\n[a.b.f]\ng.h = 3",
    "other values": "a=1979-05-27 07:32:00\nb = 07:32:00# t\nc = [inf,-nan,0xf] \nd = {e=1.5e3,f=true}\n",
    "line ends": "a = 1\r\n[b]\r\nc = '''\r\nx'''\r\n\r\n[[d]]\r\ne = [\r\n1,\r\n2]\r\n",
    "escaped line end": 'a = """\\\n   x"""\nb = "\\\\"\nc = 1',
}


def paths_of(value: object, path: Path = ()) -> Iterator[tuple[Path, object]]:
    if path:
        yield path, value
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        yield from paths_of(inner, (*path, key))


@pytest.mark.parametrize("text", NASTY.values(), ids=NASTY.keys())
def test_the_paths_are_those_of_the_parser(text: str) -> None:
    paths = [path for path, _ in paths_of(tomllib.loads(text))]
    assert set(positions(text)) == set(paths)
    assert set(key_positions(text)) == set(paths)


def test_values_stand_where_they_are_written_and_tables_where_their_key_is() -> None:
    text = (
        'name = "x"\n'
        '\t[points] # "car"\n'
        "hub.back = 1\n"
        "seat = { left = '½', up = [ 2,\n 3 ] }\n"
        "[[pedals]]\n"
        "[[pedals]]\n"
        '  "far end" = """a\nb"""\n'
        "[pedals.pad]\n"
    )
    assert positions(text) == {
        ("name",): (1, 8),
        ("points",): (2, 3),
        ("points", "hub"): (3, 1),
        ("points", "hub", "back"): (3, 12),
        ("points", "seat"): (4, 8),
        ("points", "seat", "left"): (4, 17),
        ("points", "seat", "up"): (4, 27),
        ("points", "seat", "up", 0): (4, 29),
        ("points", "seat", "up", 1): (5, 2),
        ("pedals",): (6, 3),
        ("pedals", 0): (6, 3),
        ("pedals", 1): (7, 3),
        ("pedals", 1, "far end"): (8, 15),
        ("pedals", 1, "pad"): (10, 9),
    }
    keys = key_positions(text)
    assert keys["name",] == (1, 1)
    assert keys["points", "hub", "back"] == (3, 5)
    assert keys["points", "seat", "up"] == (4, 22)
    assert keys["pedals", 1, "far end"] == (8, 3)


def test_a_table_stands_at_its_own_header_wherever_it_is_mentioned_first() -> None:
    text = "[a.b]\nx = 1\n[ a ]\ny.z = 1\ny.w = 2\n"
    assert positions(text)["a",] == key_positions(text)["a",] == (3, 3)
    assert positions(text)["a", "y"] == (4, 1)


def test_columns_count_characters_and_no_byte_order_mark() -> None:
    assert positions("\ufeffa = 1")["a",] == (1, 5)
    assert positions('"\N{GRINNING FACE}é" = 1')["\N{GRINNING FACE}é",] == (1, 8)


def test_line_ends_of_either_kind_give_the_same_places() -> None:
    text = NASTY["line ends"]
    assert positions(text) == positions(text.replace("\r\n", "\n"))


def test_a_text_that_is_no_toml_is_refused() -> None:
    with pytest.raises(ValueError, match="not TOML at character 2"):
        positions("[ ]")


GAPS = st.sampled_from(["", " ", "\t", "  "])
BREAKS = st.sampled_from(["", " ", "\n", " # ] } ' \"\n\t", "\r\n"])
NAMES = ["a", "b-1", '"c d"', "'e.f'", '"\\u0067#"']


@st.composite
def leaves(draw: st.DrawFn, serial: list[int]) -> str:
    serial[0] += 1
    text = f"v{serial[0]}_" + draw(st.sampled_from(["", "]", "}", "#", "=", ",", "é"]))
    return draw(st.sampled_from(['"{}"', "'{}'", '"""{}\n"""', "'''{}\n'' '''", '"""{}\\\n"""', '"{}\\""'])).format(
        text
    )


@st.composite
def values(draw: st.DrawFn, serial: list[int], depth: int) -> str:
    kind = draw(st.sampled_from(["leaf", "leaf", "list", "table"])) if depth else "leaf"
    if kind == "leaf":
        return draw(leaves(serial))
    count = draw(st.integers(0, 3))
    if kind == "list":
        items = [draw(BREAKS) + draw(values(serial, depth - 1)) + draw(BREAKS) for _ in range(count)]
        return "[" + ",".join(items) + draw(st.sampled_from(["", ","] if items else [""])) + draw(BREAKS) + "]"
    pairs = [draw(GAPS) + draw(pairs_of(serial, depth - 1)) + draw(GAPS) for _ in range(count)]
    return "{" + ",".join(pairs) + "}"


@st.composite
def pairs_of(draw: st.DrawFn, serial: list[int], depth: int) -> str:
    serial[0] += 1
    keys = [*draw(st.lists(st.sampled_from(NAMES), max_size=2)), draw(st.sampled_from(["k{}", '"k{}"', "'k{}'"]))]
    dotted = (draw(GAPS) + "." + draw(GAPS)).join(keys).format(serial[0])
    return dotted + draw(GAPS) + "=" + draw(GAPS) + draw(values(serial, depth))


@st.composite
def documents(draw: st.DrawFn) -> str:
    """Statement after statement, leaving out what the parser refuses behind the others."""
    text, serial = "", [0]
    for _ in range(draw(st.integers(1, 9))):
        header = draw(st.sampled_from([None, None, "[{}]", "[[{}]]"]))
        name = ".".join(draw(st.lists(st.sampled_from(NAMES[:3]), min_size=1, max_size=3)))
        statement = header.format(name) if header else draw(pairs_of(serial, 2))
        longer = text + draw(GAPS) + statement + draw(st.sampled_from(["\n", " # [x]\n", "\r\n\r\n"]))
        try:
            tomllib.loads(longer)
        except tomllib.TOMLDecodeError:
            continue
        text = longer
    return text


@settings(max_examples=300)
@given(documents())
def test_random_documents(text: str) -> None:
    found, keys = positions(text), key_positions(text)
    expected = dict(paths_of(tomllib.loads(text)))
    assert set(found) == set(keys) == set(expected)
    lines = text.split("\n")
    for path, value in expected.items():
        line, column = found[path]
        assert _begins("\n".join([lines[line - 1][column - 1 :], *lines[line:]]), path, value)
        line, column = keys[path]
        if isinstance(path[-1], str):
            assert _is_key(lines[line - 1][column - 1 :], path[-1])


def _begins(rest: str, path: Path, value: object) -> bool:
    if isinstance(value, str):
        return rest.lstrip("\"'").startswith(value.partition("_")[0] + "_") and rest[0] in "\"'"
    if rest[0] == ("{" if isinstance(value, dict) else "["):
        return True
    key = next(step for step in reversed(path) if isinstance(step, str))
    return _is_key(rest, key)


def _is_key(rest: str, key: str) -> bool:
    written = [name for name in [*NAMES, key, f'"{key}"', f"'{key}'"] if rest.startswith(name)]
    return any(tomllib.loads(f"{name} = 0") == {key: 0} for name in written)
