"""The house keeps its own rules: format, lint, types, imports, sizes, and a README whose command is the gate's."""

import re
import subprocess
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LONGEST_FILE = 300
TOP_LEVEL = {"README.md", "DEVELOPERS.md", "LICENSE", "pyproject.toml", "fitcheck", "meshes", "tests", "examples"}


def run(*command: str) -> None:
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def tracked() -> list[Path]:
    listed = subprocess.run(["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    return [ROOT / line for line in listed.splitlines() if (ROOT / line).is_file()]


def test_lint() -> None:
    run(sys.executable, "-m", "ruff", "check", ".")


def test_format() -> None:
    run(sys.executable, "-m", "ruff", "format", "--check", ".")


def test_types() -> None:
    run(sys.executable, "-m", "mypy")


def test_imports_go_down_only() -> None:
    run(str(Path(sys.executable).with_name("lint-imports")), "--no-cache")


def test_top_level_holds_nothing_else() -> None:
    there = {path.relative_to(ROOT).parts[0] for path in tracked()}
    assert {name for name in there if not name.startswith(".")} == TOP_LEVEL


@pytest.mark.parametrize("room", ["fitcheck", "tests"])
def test_no_file_has_grown_past_a_screenful_of_screens(room: str) -> None:
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / room).rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_FILE
    }
    assert long == {}


def test_every_module_says_what_it_is_for() -> None:
    silent = [str(p) for p in (ROOT / "fitcheck").rglob("*.py") if not p.read_text(encoding="utf-8").startswith('"""')]
    assert silent == []


def test_the_gate_is_the_readme_s_own_command() -> None:
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    commands = re.findall(r"^python3 -m venv .*$", readme, flags=re.MULTILINE)
    says = [("pytest" in command, "fitcheck check" in command) for command in commands]
    assert says == [(False, True), (True, False)]
    gate = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    assert "grep -m 1 'm pytest' README.md" in gate


def test_every_dependency_has_a_lower_bound() -> None:
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    listed = project["dependencies"] + project["optional-dependencies"]["test"]
    assert [entry for entry in listed if ">=" not in entry] == []
