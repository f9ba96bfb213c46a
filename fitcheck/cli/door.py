"""The one door of every command: the job judged, errors to exit codes, results out. The only file that prints.

Exit codes: 0 fits, 1 does not fit, 2 wrong usage or job file, 3 cannot decide, 70 a bug of ours, 130 Ctrl-C.
"""

import os
import sys
import traceback
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, TypeVar

import typer

from fitcheck import __version__
from fitcheck.errors import FitcheckError, KeyFault
from fitcheck.report.files import harmless, write_whole

if TYPE_CHECKING:
    from fitcheck.job.model import Job
    from fitcheck.job.opening import OpenJob
    from fitcheck.verdict import Verdict

Found = TypeVar("Found")
CANNOT_USE, OUR_BUG, INTERRUPTED = 2, 70, 130
app = typer.Typer(
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    help="Will the assist unit fit? Clearances through every pedal's full travel, from tape readings, before the saw.",
    epilog="A geometric aid, not an approval: measure again before cutting. Whoever does the work decides, with the "
    "local inspection or a licensed engineer.",
)
JobFile = Annotated[Path, typer.Argument(metavar="JOB", help="the job file; - reads it from standard input")]
AsJson = Annotated[bool, typer.Option("--json", help="one JSON object on standard output")]


def _version(wanted: bool) -> None:
    if wanted:
        print(f"fitcheck {__version__}")
        raise typer.Exit


@app.callback()
def options(
    ctx: typer.Context,
    debug: Annotated[bool, typer.Option("--debug", help="show the trace of a bug")] = False,
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="show the version and stop")
    ] = False,
) -> None:
    """What stands before the command's name."""
    ctx.obj = debug


@contextmanager
def guarded(ctx: typer.Context) -> Iterator[None]:
    """Every error to its exit code: what a person can mend in words, a bug of ours in one line."""
    try:
        yield
    except FitcheckError as error:
        say(str(error))
        raise typer.Exit(CANNOT_USE) from None
    except KeyboardInterrupt:
        raise typer.Exit(INTERRUPTED) from None
    except (typer.Exit, typer.Abort):
        raise
    except Exception as error:
        if ctx.obj:
            traceback.print_exc()
        say(f"a bug in fitcheck, not in your job: {type(error).__name__}: {error} (fitcheck --debug ... shows more)")
        raise typer.Exit(OUR_BUG) from None


def opened_with(path: Path, look: Callable[["OpenJob"], Found]) -> "tuple[OpenJob, Found]":
    """The job file read, and what `look` finds in it; what is wrong with it is raised as file, line and column."""
    from fitcheck.job.opening import open_job

    opened = open_job(path, _tried)
    try:
        return opened, look(opened)
    except KeyFault as error:
        raise opened.fault(error, _tried) from None


def _tried(job: "Job", folder: Path) -> None:
    """Placed and planned, so that all that is wrong with a job is told in one go."""
    from fitcheck.verdict import try_out

    try_out(job, folder)


def judged(path: Path, draws: int | None = None) -> "Verdict":
    """The job file read and judged, by so many `draws` of its readings where they are said."""
    from fitcheck.verdict import judge

    return opened_with(path, judge if draws is None else partial(judge, draws=draws))[1]


def as_text(document: dict[str, Any]) -> str:
    """A document as JSON text."""
    import json

    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def write(path: Path, content: bytes) -> None:
    """The file whole or not at all, and its name in one line."""
    write_whole(path, content)
    say(f"wrote {path}")


def tell(text: str) -> None:
    """A result on standard output; a reader that has gone away changes nothing about the result."""
    try:
        print(harmless(text), end="", flush=True)
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())  # takes what is still held back at the end
        if isinstance(error, BrokenPipeError):
            return
        raise FitcheckError(f"the result cannot be written: {error.strerror}") from error


def say(text: str) -> None:
    """A remark on standard error."""
    print(harmless(text), file=sys.stderr)


def progress(text: str) -> None:
    """What is being worked on, on standard error where somebody watches; nothing in a pipe or a file."""
    if sys.stderr.isatty():
        say(f"... {text}")
