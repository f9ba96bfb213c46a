"""The command: arguments, one call, exit code. The only file that prints.

Exit codes: 0 fits, 1 does not fit, 2 wrong usage or job file, 3 cannot decide, 70 a bug of ours, 130 Ctrl-C.
"""

import os
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, NoReturn

import typer

from fitcheck import __version__
from fitcheck.errors import FitcheckError, KeyFault
from fitcheck.report.files import harmless, write_whole

if TYPE_CHECKING:
    from fitcheck.verdict import Verdict

REFUSED, CANNOT_USE, OUR_BUG, INTERRUPTED = 1, 2, 70, 130
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
Drawing = Annotated[Path | None, typer.Option("--picture", help="drawing to write as well: .png, .pdf or .svg")]
AsJson = Annotated[bool, typer.Option("--json", help="one JSON object on standard output")]


class View(StrEnum):
    """Where a picture is taken from."""

    DRIVER = "driver"
    SIDE = "side"
    PLAN = "plan"
    UNDER_DASH = "under-dash"


def main() -> NoReturn:
    """Entry point of the `fitcheck` command."""
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    app(prog_name="fitcheck")
    sys.exit(0)


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
def _guarded(ctx: typer.Context) -> Iterator[None]:
    """Every error to its exit code: what a person can mend in words, a bug of ours in one line."""
    try:
        yield
    except FitcheckError as error:
        _say(str(error))
        raise typer.Exit(CANNOT_USE) from None
    except KeyboardInterrupt:
        raise typer.Exit(INTERRUPTED) from None
    except (typer.Exit, typer.Abort):
        raise
    except Exception as error:
        if ctx.obj:
            traceback.print_exc()
        _say(f"a bug in fitcheck, not in your job: {type(error).__name__}: {error} (fitcheck --debug ... shows more)")
        raise typer.Exit(OUR_BUG) from None


@app.command()
def check(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """Judge the whole job: does it fit, and where is it closest?"""
    _chapter(ctx, "check", job, as_json)


@app.command()
def gaps(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """The gaps alone: every pair, those that were there before included."""
    _chapter(ctx, "gaps", job, as_json)


@app.command()
def boots(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """Boots and legs: on the pedals, lifted off, crossing over, at rest; the heel; room between the pads."""
    _chapter(ctx, "boots", job, as_json)


@app.command()
def reach(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """Reaching in: how low the unit hangs, the way in and out, room for hands and tools."""
    _chapter(ctx, "reach", job, as_json)


@app.command()
def cuts(ctx: typer.Context, job: JobFile, as_json: AsJson = False, drawing: Drawing = None) -> None:
    """The cut list: where the saw goes, how much first, how much last."""
    with _guarded(ctx):
        from fitcheck.report.document import cuts_chapter
        from fitcheck.report.side_view import kind_of, side_view
        from fitcheck.report.text import cut_list_text

        verdict = _judged(job)
        if verdict.cuts is None:
            raise FitcheckError("the job holds no [cuts] yet; examples/saloon-10-45/job.toml shows what to write")
        if drawing is not None:
            _write(drawing, side_view(verdict.opened.job, verdict.cuts, f"{_which(verdict)}.", kind_of(drawing.name)))
        _tell(_json(cuts_chapter(verdict)) if as_json else cut_list_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def shaft(ctx: typer.Context, job: JobFile, as_json: AsJson = False, drawing: Drawing = None) -> None:
    """The intermediate shaft: true angles, which tooth, how long, how much collapse is left."""
    with _guarded(ctx):
        from fitcheck.report.document import shaft_chapter
        from fitcheck.report.phase_drawing import shaft_drawing
        from fitcheck.report.side_view import kind_of
        from fitcheck.report.text import shaft_chapter_text

        verdict = _judged(job)
        if verdict.shaft is None:
            raise FitcheckError("the job holds no [shaft] with joints yet; examples/saloon-shaft/job.toml shows one")
        if drawing is not None:
            name = verdict.opened.job.job.name
            _write(drawing, shaft_drawing(verdict.shaft, f"{name}: {_which(verdict)}", kind_of(drawing.name)))
        _tell(_json(shaft_chapter(verdict)) if as_json else shaft_chapter_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def picture(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="PNG file to write")],
    view: Annotated[View, typer.Option(help="where it is taken from")] = View.SIDE,
) -> None:
    """A shaded picture with the closest points marked."""
    with _guarded(ctx):
        from fitcheck.report.pictures.picture import picture as draw

        verdict = _judged(job)
        _write(output, draw(verdict, view.value))


@app.command()
def proof(
    ctx: typer.Context,
    job: Annotated[Path | None, typer.Argument(metavar="JOB", help="the job file to prove; - reads it")] = None,
    output: Annotated[Path | None, typer.Option("-o", "--output", help="proof file to write")] = None,
    check: Annotated[Path | None, typer.Option("--verify", metavar="PROOF", help="check this proof instead")] = None,
    held_to: Annotated[Path | None, typer.Option("--job", help="with --verify: the job file it must be about")] = None,
) -> None:
    """Write the proof of every gap (JOB -o FILE), or check one independently (--verify FILE): 0 verified, 1 refused."""
    with _guarded(ctx):
        if check is not None and job is None and output is None:
            _verify(check, held_to)
        elif check is None and job is not None and output is not None and held_to is None:
            _prove(job, output)
        else:
            raise FitcheckError("write fitcheck proof JOB -o FILE, or fitcheck proof --verify FILE [--job JOB]")


def _prove(job: Path, output: Path) -> None:
    from fitcheck.clearance.gaps import Found
    from fitcheck.clearance.proof import proof_bytes

    verdict = _judged(job)
    found = [entry.found for entry in verdict.gaps] + [Found(pair, None, None) for pair in verdict.passed_over]
    _write(output, proof_bytes(verdict.opened, verdict.scene, found))


def _verify(path: Path, job: Path | None) -> None:
    from fitcheck.verify import Refused
    from fitcheck.verify.files import verify_file

    try:
        lines = verify_file(path, job)
    except Refused as reason:
        _say(f"refused: {path}: {reason}")
        raise typer.Exit(REFUSED) from None
    except OSError as error:
        raise FitcheckError(f"{error.filename} cannot be read: {error.strerror}") from error
    _tell("\n".join((f"verified: {path}", *lines)) + "\n")


@app.command()
def new(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="folder to make; must not hold a job.toml yet")],
) -> None:
    """Start a job: a commented job file built on a dozen readings."""
    with _guarded(ctx):
        from fitcheck.job.starter import starter_text

        target = folder / "job.toml"
        if target.exists():
            raise FitcheckError(f"{target} is there already; name another folder, or edit that file")
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FitcheckError(f"{folder} cannot be made a folder: {error.strerror}") from error
        _write(target, starter_text().encode())
        shown = f'"{target}"' if " " in str(target) else str(target)
        _say(f"then: fitcheck check {shown}")


@app.command()
def schema(ctx: typer.Context) -> None:
    """The job file's JSON Schema, for editors."""
    with _guarded(ctx):
        from fitcheck.job.model import Job

        _tell(_json(Job.model_json_schema(by_alias=True)))


@app.command()
def shapes(ctx: typer.Context, as_json: AsJson = False) -> None:
    """What the project's own mesh library holds."""
    with _guarded(ctx):
        from fitcheck.report.shapes import shapes_document, shapes_text

        _tell(_json(shapes_document()) if as_json else shapes_text())


def _chapter(ctx: typer.Context, name: str, job: Path, as_json: bool) -> NoReturn:
    with _guarded(ctx):
        from fitcheck.report.chapters import CHAPTERS

        verdict = _judged(job)
        document, text = CHAPTERS[name](verdict)
        _tell(_json(document()) if as_json else text())
        raise typer.Exit(verdict.outcome.exit_code)
    raise AssertionError("the exit code was told")


def _judged(path: Path) -> "Verdict":
    from fitcheck.job.opening import open_job
    from fitcheck.verdict import judge

    opened = open_job(path)
    try:
        return judge(opened)
    except KeyFault as error:
        raise opened.fault(error) from None


def _which(verdict: "Verdict") -> str:
    return f"job {verdict.opened.digest[:12]}, {verdict.opened.job.job.date or 'no date in job'}"


def _json(document: dict[str, Any]) -> str:
    import json

    return json.dumps(document, indent=2, allow_nan=False) + "\n"


def _write(path: Path, content: bytes) -> None:
    """The file whole or not at all, and its name in one line."""
    write_whole(path, content)
    _say(f"wrote {path}")


def _tell(text: str) -> None:
    """A result on standard output; a reader that has gone away changes nothing about the result."""
    try:
        print(harmless(text), end="", flush=True)
    except BrokenPipeError:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    except OSError as error:
        raise FitcheckError(f"the result cannot be written: {error.strerror}") from error


def _say(text: str) -> None:
    print(harmless(text), file=sys.stderr)
