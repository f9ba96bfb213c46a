"""The command: arguments, one call, exit code. `door` is what all commands share, the others hold the commands."""

import sys
from typing import NoReturn

from fitcheck.cli import chapters, paper, starting, things
from fitcheck.cli.door import app

__all__ = ["app", "chapters", "main", "paper", "starting", "things"]


def main() -> NoReturn:
    """Entry point of the `fitcheck` command."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    app(prog_name="fitcheck")
    sys.exit(0)
