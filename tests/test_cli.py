"""The command: results on stdout, remarks on stderr, exit codes, and nothing but plain words for what people get wrong.

Exit codes: 0 fits, 1 does not fit, 2 wrong usage or job file, 3 cannot decide, 70 a bug of ours, 130 Ctrl-C.
"""

import io
import json
import os
import subprocess
import sys
from pathlib import Path

import pytest
from typer.testing import CliRunner

from fitcheck import __version__, cli, verdict
from fitcheck.errors import GeometryError
from tests import jobs

JOB_FILES = Path(__file__).parent / "job_files"
GO, NO_GO = (str(jobs.EXAMPLES / name / "job.toml") for name in ("dozen-go", "dozen-no-go"))
TEN_FAULTS = r"""
4:9: job.drive: "centre" is not allowed here; write "left" or "right"
10:21: column.hub_seat.back: the bare number 636 is not a length; write it in quotes, as in "15 1/2 in" or "1' 3 1/2\"" or "394 mm"
11:45: column.low.up: "75" has no unit; write "75 in" or "75 mm"
12:13: column.jacket_od: "2 inch tube": not a length; write it as in "15 1/2 in" or "1' 3 1/2\"" or "394 mm"
14:1: column.jackett_to: unknown key; did you mean 'jacket_to'? allowed here: hub_seat, low, down, across, jacket_od, jacket_from, jacket_to, shaft_od, shaft_to, lower_bearing, marks
17:14: unit.input_face: "430 mm ± -2 mm": a spread is not negative; write it without the minus
18:9: unit.clock: "13:75": a clock face runs from 1:00 to 12:59; half past twelve is "12:30"
25:9: pedals[1].pivot: 'back' and 'forward' are the same direction; write only one of them
26:10: pedals[1].travel: "15 3/5": a tape has no 1/5; write fractions in 2, 4, 8, 16, 32 or 64, all else as a decimal
30:9: obstacles[1].shape.opposite: missing: the corner diagonally opposite
"""  # noqa: E501


class Said:
    """What a run of the command printed, and its exit code."""

    def __init__(self, *args: str, stdin: bytes = b"") -> None:
        done = CliRunner().invoke(cli.app, list(args), input=stdin)
        assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
        self.code, self.out, self.err = done.exit_code, done.stdout, done.stderr


def written(folder: Path, tables: jobs.Tables) -> str:
    path = folder / "job.toml"
    path.write_text(jobs.text(tables), encoding="utf-8")
    return str(path)


def run(*args: str, **options: object) -> subprocess.CompletedProcess[bytes]:
    """The command as people run it."""
    environment = {**os.environ, **options.pop("env", {})}  # type: ignore[dict-item]
    return subprocess.run(
        [sys.executable, "-m", "fitcheck", *args], capture_output=True, check=False, env=environment, **options
    )  # type: ignore[call-overload]


def test_help_and_version() -> None:
    assert Said("--version").out == f"fitcheck {__version__}\n"
    assert Said("--version").code == 0
    told = Said("--help")
    assert told.code == 0
    for word in ("check", "gaps", "picture", "new", "schema", "shapes", "A geometric aid, not an approval"):
        assert word in told.out
    assert Said("check", "--help").code == 0


@pytest.mark.parametrize("args", [(), ("chek", GO), ("check",), ("check", GO, "--jsonn"), ("check", GO, GO)])
def test_wrong_usage(args: tuple[str, ...]) -> None:
    told = Said(*args)
    assert told.code == 2
    assert "Usage:" in told.err + told.out
    assert "Traceback" not in told.err


@pytest.mark.parametrize(("job", "code"), [(GO, 0), (NO_GO, 1)])
def test_result_is_the_exit_code_and_stdout_holds_the_result_alone(job: str, code: int) -> None:
    for args in (("check", job), ("gaps", job), ("check", job, "--json"), ("gaps", job, "--json")):
        told = Said(*args)
        assert (told.code, told.err) == (code, "")
        if "--json" in args:
            assert json.loads(told.out)["schema"] == 1


def test_cannot_decide_is_three(tmp_path: Path) -> None:
    told = Said("check", written(tmp_path, jobs.bare()))
    assert told.code == 3
    assert "CANNOT DECIDE: nothing could be judged." in told.out


def test_missing_travel_leaves_pairs_not_known_and_says_what_to_measure(tmp_path: Path) -> None:
    told = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("pedals", 0, "travel"), None)))
    assert told.code == 3
    assert "CANNOT DECIDE: 4 not known, 28 clear." in told.out
    joined = " ".join(told.out.split())
    assert (
        "[?] not known unit - clutch: missing pedals[1].travel: measure the clutch pad's centre from rest to full "
        "travel, in a straight line (on its stop or on the floor)" in joined
    )
    rows = json.loads(Said("gaps", str(tmp_path / "job.toml"), "--json").out)["gaps"]
    waiting = [row for row in rows if row.get("missing")]
    assert {row["result"] for row in waiting} == {"not known", "as before"}
    assert all(row["missing"] == ["pedals[1].travel"] and "gap_mm" not in row for row in waiting)


def test_ten_faults_are_told_at_once_each_at_its_place() -> None:
    path = JOB_FILES / "ten_faults.toml"
    told = Said("check", str(path))
    assert (told.code, told.out) == (2, "")
    assert told.err == "".join(f"{path}:{line}\n" for line in TEN_FAULTS.strip().splitlines())


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "1:1: job: missing: the head of the file; write a table [job]\n"),
        (b"\xff\xfe\x00garbage", "1:1: whole file: not UTF-8 text from here on; save it as UTF-8 in the editor\n"),
        (b"[job\n", "1:5: whole file: not TOML: "),
        (b"\x00\x01\x02", "1:1: whole file: not TOML: "),
    ],
)
def test_files_that_are_no_jobs(tmp_path: Path, content: bytes, said: str) -> None:
    path = tmp_path / "job.toml"
    path.write_bytes(content)
    for told, name in ((Said("check", str(path)), str(path)), (Said("check", "-", stdin=content), "standard input")):
        assert (told.code, told.out) == (2, "")
        assert told.err.startswith(f"{name}:{said}")
        assert "Traceback" not in told.err


def test_no_file_and_a_folder(tmp_path: Path) -> None:
    gone = Said("check", str(tmp_path / "gone.toml"))
    assert gone.code == 2
    assert gone.err == (
        f"{tmp_path / 'gone.toml'}:1:1: whole file: no such file; check the name, or start one with: fitcheck new\n"
    )
    folder = Said("check", str(tmp_path))
    assert folder.code == 2
    assert folder.err == f"{tmp_path}:1:1: whole file: a folder; name the job file in it\n"


def test_job_from_standard_input() -> None:
    told = Said("check", "-", "--json", stdin=Path(GO).read_bytes())
    assert told.code == 0
    document = json.loads(told.out)
    assert document["job"]["file"] == "standard input"
    assert document["job"]["digest"] == json.loads(Said("check", GO, "--json").out)["job"]["digest"]


@pytest.mark.parametrize(
    ("change", "value", "said"),
    [
        (("pedals", 0, "travel"), "900 mm", "pedals[1].travel: 900 mm is no travel for a pad 310 mm from its pivot"),
        (("driver", "foot"), "men 96", "driver.foot: 'men 96' is not in the survey's table; write one of \"men 5\""),
        (("column", "jacket_to"), "10 mm", "column.jacket_to: the jacket ends before it begins"),
        (("driver", "boots", 0, "heel", "back"), "20 mm", "driver.boots[1].heel: the heel stands ahead of the pad"),
    ],
)
def test_faults_found_while_placing_name_line_and_column(
    tmp_path: Path, change: tuple[str | int, ...], value: str, said: str
) -> None:
    path = written(tmp_path, jobs.changed(jobs.saloon(), change, value))
    told = Said("check", path)
    assert (told.code, told.out) == (2, "")
    place, _, message = told.err.removeprefix(f"{path}:").partition(": ")
    line, column = map(int, place.split(":"))
    assert message.startswith(said)
    row = Path(path).read_text(encoding="utf-8").splitlines()[line - 1]
    key = str(change[-1] if "heel" not in change else "heel")
    assert key in row[:column]  # the place shown is the value behind its key


def test_place_that_is_missing_of_the_column_is_told_with_its_line(tmp_path: Path) -> None:
    tables = jobs.saloon()
    del tables["column"]["low"]["up"]
    told = Said("check", written(tmp_path, tables))
    assert told.code == 2
    assert told.err.startswith(f"{tmp_path / 'job.toml'}:10:2: column: missing column.low.up: measure ")


def test_bug_of_ours_is_one_line_and_seventy(monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_: object) -> None:
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(verdict, "judge", broken)
    told = Said("check", GO)
    assert (told.code, told.out) == (70, "")
    assert told.err == "a bug in fitcheck, not in your job: ZeroDivisionError: nought (fitcheck --debug ... shows more)\n"
    debug = Said("--debug", "check", GO)
    assert debug.code == 70
    assert "Traceback (most recent call last)" in debug.err and "nought" in debug.err


def test_ctrl_c_is_a_hundred_and_thirty(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(verdict, "judge", stopped)
    told = Said("check", GO)
    assert (told.code, told.out, told.err) == (130, "", "")


def test_what_is_wrong_in_words_of_ours_is_two_without_a_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    def flat(_: object) -> None:
        raise GeometryError("the plate is flat")

    monkeypatch.setattr(verdict, "judge", flat)
    told = Said("check", GO)
    assert (told.code, told.out, told.err) == (2, "", "the plate is flat\n")


def test_command_as_people_run_it() -> None:
    done = run("check", NO_GO)
    assert done.returncode == 1
    assert done.stderr == b""
    assert b"DOES NOT FIT: 1 hits." in done.stdout


@pytest.mark.skipif(sys.platform == "win32", reason="pipes of another kind")
def test_reader_that_goes_away_hears_nothing_and_the_result_stands() -> None:
    reader, writer = os.pipe()
    os.close(reader)
    command = [sys.executable, "-m", "fitcheck", "check", NO_GO]
    with subprocess.Popen(command, stdout=writer, stderr=subprocess.PIPE) as process:
        os.close(writer)
        _, said = process.communicate(timeout=60)
    assert (process.returncode, said) == (1, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full")
def test_full_disk_is_said_and_is_no_bug_of_ours() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [sys.executable, "-m", "fitcheck", "check", GO], stdout=full, stderr=subprocess.PIPE, check=False
        )
    assert done.returncode == 2
    assert done.stderr.startswith(b"the result cannot be written: ")


def test_names_that_a_terminal_of_old_cannot_show_do_not_end_the_command(tmp_path: Path) -> None:
    tables = jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), "Ω <script> \U0001f527")
    done = run("check", written(tmp_path, tables), env={"PYTHONIOENCODING": "cp1252:strict", "PYTHONUTF8": "0"})
    assert (done.returncode, done.stderr) == (0, b"")
    assert b"? <script> ?" in done.stdout


def test_control_characters_of_a_name_do_not_reach_the_terminal(tmp_path: Path) -> None:
    name = "duct\n\x1b[31mred\x07\u202e"
    tables = jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), name)
    told = Said("check", written(tmp_path, tables))
    assert told.code == 0
    assert not {"\x1b", "\x07", "\u202e"} & set(told.out)
    assert "duct \\u001B[31mred\\u0007\\u202E" in " ".join(told.out.split())
    rows = json.loads(Said("check", written(tmp_path, tables), "--json").out)["gaps"]
    assert name in {row["b"] for row in rows}


def test_names_of_eighty_characters_are_shown_whole_and_longer_ones_refused(tmp_path: Path) -> None:
    longest = "n" * 80
    told = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), longest)))
    assert longest in told.out
    assert max(map(len, told.out.splitlines())) <= 110
    refused = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("obstacles", 1, "name"), longest + "n")))
    assert refused.code == 2
    assert "has 81 characters; at most 80 are allowed" in refused.err


@pytest.mark.parametrize(
    ("value", "said"),
    [
        ("nan mm", "there is no number in it"),
        ("inf", "there is no number in it"),
        ("1e5 mm", "write the number out, without an exponent"),
        ("100000001 mm", "is over 100 m; nothing on a car is, so check number and unit"),
        ("-76 mm", "must be at least 0.001 mm, got -76 mm"),
    ],
)
def test_sizes_that_are_none(tmp_path: Path, value: str, said: str) -> None:
    told = Said("check", written(tmp_path, jobs.changed(jobs.saloon(), ("unit", "motor", "dia"), value)))
    assert (told.code, told.out) == (2, "")
    assert said in told.err


def test_more_obstacles_than_can_be_looked_at_are_refused(tmp_path: Path) -> None:
    tables = jobs.saloon()
    tables["obstacles"] = [{**tables["obstacles"][1], "name": f"thing {i}"} for i in range(501)]
    del tables["linkages"]
    told = Said("check", written(tmp_path, tables))
    assert told.code == 2
    assert "obstacles: has 501 items; at most 500 are allowed" in told.err


def test_new_makes_a_job_that_fits_and_never_overwrites(tmp_path: Path) -> None:
    folder = tmp_path / "car" / "first"
    told = Said("new", str(folder))
    assert (told.code, told.out) == (0, "")
    assert told.err == f"wrote {folder / 'job.toml'}\nthen: fitcheck check {folder / 'job.toml'}\n"
    assert Said("check", str(folder / "job.toml")).code == 0
    before = (folder / "job.toml").read_bytes()
    again = Said("new", str(folder))
    assert again.code == 2
    assert again.err == f"{folder / 'job.toml'} is there already; name another folder, or edit that file\n"
    assert (folder / "job.toml").read_bytes() == before
    assert [path.name for path in folder.iterdir()] == ["job.toml"]


def test_new_where_a_file_has_the_folder_s_name(tmp_path: Path) -> None:
    (tmp_path / "car").write_text("mine", encoding="utf-8")
    told = Said("new", str(tmp_path / "car"))
    assert told.code == 2
    assert told.err.startswith(f"{tmp_path / 'car'} cannot be made a folder: ")
    assert (tmp_path / "car").read_text(encoding="utf-8") == "mine"


def test_files_are_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.png"
    target.write_bytes(b"old")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", full)
        with pytest.raises(cli.FitcheckError, match="a.png cannot be written: No space left on device"):
            cli._write(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
    cli._write(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(("name", "said"), [("nowhere/a.png", "cannot be written: "), (".", "is a folder; name")])
def test_output_that_cannot_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, said: str) -> None:
    from fitcheck.report.pictures import picture

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(picture, "picture", lambda *_: b"PNG")
    told = Said("picture", GO, "-o", name)
    assert told.code == 2
    assert told.err.startswith(f"{name} {said}")
    assert list(tmp_path.iterdir()) == []


def test_schema_allows_every_key_the_examples_use() -> None:
    """JSON Schema 2020-12: tables are objects with their properties named, and nothing else is allowed in them."""
    told = Said("schema")
    assert told.code == 0
    schema = json.loads(told.out)
    assert schema["type"] == "object" and schema["additionalProperties"] is False
    assert {"job", "column", "unit"} == set(schema["required"])
    assert schema["properties"]["job"]["$ref"].startswith("#/$defs/")
    for path in sorted(jobs.EXAMPLES.glob("*/job.toml")):
        unknown = list(not_allowed(jobs.tomllib.loads(path.read_text(encoding="utf-8")), schema, schema["$defs"]))
        assert unknown == [], path
    wrong = jobs.changed(jobs.saloon(), ("unit", "clok"), "9:00")
    assert list(not_allowed(wrong, schema, schema["$defs"])) == ["unit.clok"]


def not_allowed(value: object, schema: jobs.Tables, defs: jobs.Tables, path: str = "") -> list[str]:
    """Keys of `value` that the schema has no place for, by the variant that allows the most."""
    schema = defs[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    variants = schema.get("anyOf") or schema.get("oneOf")
    if variants:
        fitting = [one for one in variants if is_kind(value, one, defs)]
        assert fitting, f"{path}: {value!r} has no place in {variants}"
        return min((not_allowed(value, one, defs, path) for one in fitting), key=len)
    assert is_kind(value, schema, defs), path
    if isinstance(value, list):
        items = schema.get("items", {})
        return [key for i, item in enumerate(value) for key in not_allowed(item, items, defs, f"{path}[{i}]")]
    if not isinstance(value, dict):
        return []
    known, rest = schema.get("properties", {}), schema.get("additionalProperties", False)
    found = []
    for key, item in value.items():
        here = f"{path}.{key}".lstrip(".")
        inner = known.get(key, rest)
        found += [here] if inner is False else not_allowed(item, inner, defs, here)
    return found


def is_kind(value: object, schema: jobs.Tables, defs: jobs.Tables) -> bool:
    schema = defs[schema["$ref"].rpartition("/")[2]] if "$ref" in schema else schema
    kinds = {"object": dict, "array": list, "string": str, "boolean": bool, "null": type(None)}
    if "const" in schema or "enum" in schema:
        return value in schema.get("enum", [schema.get("const")])
    return "type" not in schema or isinstance(value, kinds[schema["type"]])


def test_shapes_are_told_in_words_and_as_json() -> None:
    assert "unit" in Said("shapes").out
    assert json.loads(Said("shapes", "--json").out)["schema"] == 1


def test_output_is_the_same_twice() -> None:
    assert Said("check", GO).out == Said("check", GO).out
    assert Said("check", GO, "--json").out == Said("check", GO, "--json").out


def test_result_goes_through_a_stream_of_bytes_unharmed(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n")
    monkeypatch.setattr(sys, "stdout", stream)
    cli._tell("give ± take Ω\n")
    assert stream.buffer.getvalue() == "give ± take Ω\n".encode()  # type: ignore[attr-defined]
