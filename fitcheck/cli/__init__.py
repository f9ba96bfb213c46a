"""The command: arguments, one call, exit code. `door` is what all commands share, the others hold the commands."""

import gc
import os
import sys
from typing import NoReturn

from fitcheck.cli import chapters, paper, starting, things
from fitcheck.cli.door import app

__all__ = ["app", "chapters", "main", "paper", "starting", "things"]


GARBAGE_AFTER = 50_000  # what is imported lives to the end: looking through it every 700 objects costs 0.1 s


def main() -> NoReturn:
    """Entry point of the `fitcheck` command."""
    gc.set_threshold(GARBAGE_AFTER)
    # before numpy is loaded: on matrices as small as ours its second thread only waits, a third of all processor time
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app(prog_name="fitcheck")
    finally:
        gc.freeze()  # else all that is there is looked through twice more on the way out: 0.2 s of a check
    sys.exit(0)
