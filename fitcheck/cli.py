"""The command: arguments, one call, exit code. The only file that prints.

Exit codes: 0 fits, 1 does not fit, 2 wrong usage or job file, 3 cannot decide, 70 a bug of ours, 130 Ctrl-C.
"""

import sys
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.errors import FitcheckError, JobError, KeyFault

app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    help="Will the assist unit fit? Clearances through every pedal's full travel, from tape readings, before the saw.",
    epilog="A geometric aid, not an approval: measure again before cutting. Whoever does the work decides, with the "
    "local inspection or a licensed engineer.",
)
JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="the job file; - reads it from standard input")]
AsJson = Annotated[bool, typer.Option("--json", help="one JSON object on standard output")]
EOF_BUG = "this is a bug in fitcheck, not in your job; run again with --debug for the trace"
