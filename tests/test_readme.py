"""The README's samples are the command's own output, word for word, and the commands it names are there.

Run with FITCHECK_UPDATE_GOLDEN=1 to write the sample anew; then read the difference before keeping it.
"""

import os
import re
from itertools import groupby, takewhile
from pathlib import Path

from typer.testing import CliRunner

from fitcheck import cli
from tests.jobs import EXAMPLES

README = EXAMPLES.parent / "README.md"
SAMPLE = re.compile(r"(?<=It does not fit \(exit code 1\):\n\n```\n).*?(?=```\n)", re.DOTALL)


def sample() -> str:
    """Result, what was not looked at, what to do next, and the worst pair, as the README's example prints them."""
    done = CliRunner().invoke(cli.app, ["check", str(EXAMPLES / "saloon-9-00" / "job.toml")])
    assert done.exit_code == 1
    lines = done.stdout.splitlines()
    blocks = [list(rows) for blank, rows in groupby(lines, key=lambda line: not line) if not blank]
    (result,) = (block for block in blocks if block[0].startswith("DOES NOT FIT: "))
    (steps,) = (block for block in blocks if block[0].startswith("Next: "))
    (gaps,) = (block for block in blocks if block[0].startswith("Gaps through the whole"))
    title, worst, *more = gaps
    rest = takewhile(lambda line: not line.startswith("  ["), more)
    return "\n".join([*result, "", *steps, "", title, worst, *rest, "..."]) + "\n"


def test_the_sample_is_what_the_command_prints() -> None:
    text = README.read_text(encoding="utf-8")
    if os.environ.get("FITCHECK_UPDATE_GOLDEN") == "1":
        text = SAMPLE.sub(lambda _: sample(), text)
        README.write_text(text, encoding="utf-8", newline="\n")
    (kept,) = SAMPLE.findall(text)
    assert kept == sample()


def test_every_command_it_names_is_there() -> None:
    named = set(re.findall(r"^\| `fitcheck ([a-z-]+)", README.read_text(encoding="utf-8"), re.MULTILINE))
    known = {command.name or command.callback.__name__ for command in cli.app.registered_commands if command.callback}
    assert named - known == set()
    assert {"check", "gaps", "cuts", "shaft", "new", "picture", "proof"} <= named


def test_every_path_it_names_is_there() -> None:
    named = re.findall(r"`?(examples/[a-z0-9-]+)", README.read_text(encoding="utf-8"))
    assert named
    assert [name for name in named if not (Path(EXAMPLES.parent) / name).exists()] == []
