"""`fitcheck proof` as people run it: exit codes 0, 1 and 2, words on the right stream, and never a trace."""

import subprocess
import sys
from pathlib import Path

import pytest

from fitcheck.verify import NOT_COVERED, verify
from fitcheck.verify.short import in_short
from tests import proofs
from tests.jobs import EXAMPLES

NAME = "dozen-go"


def run(*arguments: str | Path, code: int) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "fitcheck", "proof", *map(str, arguments)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert done.returncode == code, done.stderr
    assert "Traceback" not in done.stdout + done.stderr
    return done


def test_a_proof_is_written_and_verified(tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_bytes((EXAMPLES / NAME / "job.toml").read_bytes())
    run(job, "-o", tmp_path / "proof.json", code=0)
    done = run("--verify", tmp_path / "proof.json", code=0)
    assert done.stdout.startswith("verified: ") and done.stdout.endswith(NOT_COVERED + "\n")
    assert "the same as the file at hand" in done.stdout
    job.write_bytes(job.read_bytes() + b"\n")
    assert "its digest differs" in run("--verify", tmp_path / "proof.json", code=1).stderr
    original = EXAMPLES / NAME / "job.toml"
    assert "the same as the file at hand" in run("--verify", tmp_path / "proof.json", "--job", original, code=0).stdout
    other = EXAMPLES / "dozen-no-go" / "job.toml"
    assert "its digest differs" in run("--verify", tmp_path / "proof.json", "--job", other, code=1).stderr


def test_in_short_nothing_that_is_wrong_is_left_out_and_all_is_counted() -> None:
    """Against the lines themselves: every tie and the last line stand, what is folded is counted."""
    whole = verify(proofs.written("saloon-9-00"))
    short = in_short(whole)
    assert len(short) < 30 < 300 < len(whole)
    assert short[-1] == whole[-1] == NOT_COVERED
    for start in ("job ", "worked out anew", "not worked out anew"):
        assert [line for line in short if line.startswith(start)] == [line for line in whole if line.startswith(start)]
    assert [line for line in short if ": hits: " in line] == [line for line in whole if ": hits: " in line] != []
    keeps = [line for line in whole if ": keeps: " in line]
    assert [line for line in short if ": keeps: " in line] == keeps[:6]
    assert any(line.endswith(f": {len(keeps) + 1}, of which {len(keeps)} keep their gap") for line in short)
    carried = sum(line.endswith(("  held", "  not held")) for line in whole)
    assert any(line.startswith(f"{carried} readings carried, ") for line in short)


@pytest.mark.parametrize("content", [b"", b"{", b"\x00\xff", proofs.written(NAME)[:-2], proofs.written(NAME) + b"{}"])
def test_what_is_no_proof_is_refused_in_one_line(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "proof.json"
    path.write_bytes(content)
    done = run("--verify", path, code=1)
    assert done.stdout == "" and done.stderr.startswith("refused: ") and done.stderr.count("\n") == 1


def test_a_named_file_outside_the_folder_is_not_read(tmp_path: Path) -> None:
    folder = tmp_path / "inner"
    folder.mkdir()
    (tmp_path / "job.toml").write_bytes(b"secret")
    proof = proofs.table(NAME)
    proof["job"]["file"] = "../job.toml"
    (folder / "proof.json").write_bytes(proofs.content(proof))
    assert "not at hand" in run("--verify", folder / "proof.json", code=0).stdout


@pytest.mark.parametrize("arguments", [(), ("job.toml",), ("-o", "proof.json"), ("--verify", "no such file")])
def test_wrong_usage_says_what_to_write(arguments: tuple[str, ...]) -> None:
    assert run(*arguments, code=2).stderr


def test_the_check_needs_numpy_alone(tmp_path: Path) -> None:
    """In a process of its own: it loads nothing of ours but itself, and no package but numpy."""
    path = tmp_path / "proof.json"
    path.write_bytes(proofs.written(NAME))
    program = """
import sys, fitcheck.verify
lines = fitcheck.verify.verify(open(sys.argv[1], "rb").read())
ours = [name for name in sys.modules if name.startswith("fitcheck.") and not name.startswith("fitcheck.verify")]
others = sorted({"scipy", "fcl", "pydantic", "typer", "shapely", "trimesh", "fitcheck.errors"} & set(sys.modules))
assert lines and not ours and not others, (ours, others)
"""
    done = subprocess.run([sys.executable, "-c", program, str(path)], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
