"""The command: results on stdout, remarks on stderr, exit codes, and nothing but plain words for what people get wrong.

Exit codes: 0 fits, 1 does not fit, 2 wrong usage or job file, 3 cannot decide, 70 a bug of ours, 130 Ctrl-C.
"""

import io
import json
import os
import sys
from pathlib import Path

import pytest

from fitcheck import __version__, verdict
from fitcheck.cli import door
from fitcheck.errors import FitcheckError, GeometryError
from tests import jobs
from tests.command import Said, run, written

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
    assert "CANNOT DECIDE: 6 not known, 29 clear; cuts: no cut allowed yet." in told.out
    joined = " ".join(told.out.split())
    measure = (
        "measure the clutch pad's centre from rest to full travel, in a straight line (on its stop or on the floor)"
    )
    head, gaps = joined.split("Gaps through the whole")
    assert gaps.count(f": missing pedals[1].travel: {measure}") == gaps.count(measure) == 1
    assert f"Next: {measure} (key: pedals[1].travel), for which 6 pairs wait." in head
    for pair in ("unit - clutch", "unit - boot on clutch", "bracket - clutch", "bracket - boot on clutch"):
        assert f"[?] not known {pair}: missing pedals[1].travel" in joined
    rows = json.loads(Said("gaps", str(tmp_path / "job.toml"), "--json").out)["gaps"]
    waiting = [row for row in rows if row.get("missing")]
    assert {row["result"] for row in waiting} == {"not known", "as before"}
    assert all(row["missing"] == ["pedals[1].travel"] and "gap_mm" not in row for row in waiting)
    assert {f"measure {row['measure']}" for row in waiting} == {measure}
    assert {row["reason"] for row in waiting if row["result"] == "not known"} == {"missing pedals[1].travel"}


def test_ten_faults_are_told_at_once_each_at_its_place() -> None:
    path = JOB_FILES / "ten_faults.toml"
    told = Said("check", str(path))
    assert (told.code, told.out) == (2, "")
    assert told.err == "".join(f"{path}:{line}\n" for line in TEN_FAULTS.strip().splitlines())


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"", "1:1: job: missing: the head of the file; write a table [job]\n"),
        (b"\xff\xfd\x00garbage", "1:1: whole file: not UTF-8 text from here on; save it as UTF-8 in the editor\n"),
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
    remedy = "name the job file in it, or start one with: fitcheck new"
    assert folder.err == f"{tmp_path}:1:1: whole file: a folder without a job.toml; {remedy}\n"


def test_job_from_standard_input() -> None:
    told = Said("check", "-", "--json", stdin=Path(GO).read_bytes())
    assert told.code == 0
    document = json.loads(told.out)
    assert document["job"]["file"] == "standard input"
    assert document["job"]["digest"] == json.loads(Said("check", GO, "--json").out)["job"]["digest"]


@pytest.mark.parametrize(
    ("change", "value", "said"),
    [
        (
            ("pedals", 0, "travel"),
            "900 mm",
            "pedals[1].travel: 900 mm (35 7/16 in) is no travel for a pad 310 mm (12 1/4 in) from",
        ),
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
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("nought")

    monkeypatch.setattr(verdict, "judge", broken)
    told = Said("check", GO)
    assert (told.code, told.out) == (70, "")
    assert (
        told.err == "a bug in fitcheck, not in your job: ZeroDivisionError: nought (fitcheck --debug ... shows more)\n"
    )
    debug = Said("--debug", "check", GO)
    assert debug.code == 70
    assert "Traceback (most recent call last)" in debug.err and "nought" in debug.err


def test_ctrl_c_is_a_hundred_and_thirty(monkeypatch: pytest.MonkeyPatch) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(verdict, "judge", stopped)
    told = Said("check", GO)
    assert (told.code, told.out, told.err) == (130, "", "")


def test_what_is_wrong_in_words_of_ours_is_two_without_a_trace(monkeypatch: pytest.MonkeyPatch) -> None:
    def flat(*_: object, **__: object) -> None:
        raise GeometryError("the plate is flat")

    monkeypatch.setattr(verdict, "judge", flat)
    told = Said("check", GO)
    assert (told.code, told.out, told.err) == (2, "", "the plate is flat\n")


def test_command_as_people_run_it() -> None:
    done = run("check", NO_GO)
    assert done.returncode == 1
    assert done.stderr == b""
    assert b"DOES NOT FIT: 1 hit." in done.stdout


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


def test_new_quotes_a_path_with_blanks(tmp_path: Path) -> None:
    told = Said("new", str(tmp_path / "my old car"))
    assert told.err.endswith(f'then: fitcheck check "{tmp_path / "my old car" / "job.toml"}"\n')


def test_new_where_a_file_has_the_folder_s_name(tmp_path: Path) -> None:
    (tmp_path / "car").write_text("mine", encoding="utf-8")
    told = Said("new", str(tmp_path / "car"))
    assert told.code == 2
    assert told.err.startswith(f"{tmp_path / 'car'} cannot be made a folder: ")
    assert (tmp_path / "car").read_text(encoding="utf-8") == "mine"


def test_files_are_written_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    target = tmp_path / "a.png"
    target.write_bytes(b"old")

    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    with monkeypatch.context() as patched:
        patched.setattr(os, "replace", full)
        with pytest.raises(FitcheckError, match=r"a\.png cannot be written: No space left on device"):
            door.write(target, b"new")
    assert target.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [target]
    door.write(target, b"new")
    assert target.read_bytes() == b"new"
    assert list(tmp_path.iterdir()) == [target]


@pytest.mark.parametrize(("name", "said"), [("nowhere/a.png", "cannot be written: "), (".", "is a folder; name")])
def test_output_that_cannot_be(tmp_path: Path, monkeypatch: pytest.MonkeyPatch, name: str, said: str) -> None:
    from fitcheck.report.pictures import picture

    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr(picture, "picture", lambda *_, **__: b"PNG")
    told = Said("picture", GO, "-o", name)
    assert told.code == 2
    assert told.err.startswith(f"{name} {said}")
    assert list(tmp_path.iterdir()) == []


def test_shapes_are_told_in_words_and_as_json() -> None:
    assert "unit" in Said("shapes").out
    assert json.loads(Said("shapes", "--json").out)["schema"] == 1


def test_output_is_the_same_twice() -> None:
    assert Said("check", GO).out == Said("check", GO).out
    assert Said("check", GO, "--json").out == Said("check", GO, "--json").out


def test_result_goes_through_a_stream_of_bytes_unharmed(monkeypatch: pytest.MonkeyPatch) -> None:
    stream = io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n")
    monkeypatch.setattr(sys, "stdout", stream)
    door.tell("give ± take Ω\n")
    assert stream.buffer.getvalue() == "give ± take Ω\n".encode()
