"""Running the command in tests: in this process, or as people run it."""

import os
import subprocess
import sys
from collections.abc import Mapping
from pathlib import Path

from typer.testing import CliRunner

from fitcheck import cli
from tests import jobs


class Said:
    """What a run of the command printed, and its exit code."""

    def __init__(self, *args: str, stdin: bytes = b"") -> None:
        done = CliRunner().invoke(cli.app, list(args), input=stdin)
        assert done.exception is None or isinstance(done.exception, SystemExit), done.exception
        self.code, self.out, self.err = done.exit_code, done.stdout, done.stderr


def written(folder: Path, tables: jobs.Tables) -> str:
    """The tables as a job file in the folder."""
    path = folder / "job.toml"
    path.write_text(jobs.text(tables), encoding="utf-8")
    return str(path)


def run(*args: str, env: Mapping[str, str] | None = None) -> subprocess.CompletedProcess[bytes]:
    """The command as people run it."""
    return subprocess.run(
        [sys.executable, "-m", "fitcheck", *args], capture_output=True, check=False, env={**os.environ, **(env or {})}
    )
