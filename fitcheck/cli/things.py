"""Commands that make a file: a picture, a proof."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated, Literal

import typer

from fitcheck.cli.door import JobFile, app, guarded, judged, progress, say, tell, write
from fitcheck.errors import FitcheckError

REFUSED = 1


class View(StrEnum):
    """Where a picture is taken from."""

    DRIVER = "driver"
    SIDE = "side"
    PLAN = "plan"
    UNDER_DASH = "under-dash"
    SECTION = "section"


VIEWS: "dict[View, Literal['driver', 'side', 'plan', 'under-dash']]" = {
    View.DRIVER: "driver",
    View.SIDE: "side",
    View.PLAN: "plan",
    View.UNDER_DASH: "under-dash",
}


@app.command()
def picture(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="PNG file to write")],
    view: Annotated[View, typer.Option(help="where it is taken from; section: cut square to the column")] = View.SIDE,
    at: Annotated[
        str | None, typer.Option("--at", help="with --view section: how far from the hub seat, as in '17 1/2 in'")
    ] = None,
    ghosts: Annotated[bool, typer.Option("--ghosts/--no-ghosts", help="pedals at full and over-travel as well")] = True,
    grey: Annotated[
        bool, typer.Option("--grey", help="with --view section: black on white, told apart by hatch")
    ] = False,
) -> None:
    """A shaded picture with the closest points marked, or a section through them."""
    with guarded(ctx):
        from fitcheck.job.lengths import parse_length
        from fitcheck.report.pictures.picture import picture as draw
        from fitcheck.report.pictures.section import section

        if view is not View.SECTION and (at is not None or grey):
            raise FitcheckError("--at and --grey belong to --view section")
        at_mm = None if at is None else parse_length(at).mm
        verdict = judged(job)
        if view is View.SECTION:
            write(output, section(verdict, at_mm, grey, ghosts))
        else:
            write(output, draw(verdict, VIEWS[view], ends=ghosts))


@app.command()
def show(ctx: typer.Context, job: JobFile) -> None:
    """A window with the mock-up to turn: sliders for clock, place and each pedal, the gap asked anew at every place."""
    with guarded(ctx):
        from fitcheck.clearance.turned import Turned
        from fitcheck.geometry.gap import GapEngine
        from fitcheck.report.pictures.opengl import prepare_window
        from fitcheck.report.window.mock_up import Window

        prepare_window()
        progress("judging the job")
        verdict = judged(job)
        opened = verdict.opened
        Window(verdict, Turned(GapEngine(), opened.job, opened.folder, verdict.scene)).show()


@app.command()
def proof(
    ctx: typer.Context,
    job: Annotated[Path | None, typer.Argument(metavar="JOB", help="the job file to prove; - reads it")] = None,
    output: Annotated[Path | None, typer.Option("-o", "--output", help="proof file to write")] = None,
    check: Annotated[Path | None, typer.Option("--verify", metavar="PROOF", help="check this proof instead")] = None,
    held_to: Annotated[Path | None, typer.Option("--job", help="with --verify: the job file it must be about")] = None,
    everything: Annotated[bool, typer.Option("--all", help="with --verify: every reading and every pair")] = False,
) -> None:
    """Write the proof of every gap (JOB -o FILE), or check one independently (--verify FILE): 0 verified, 1 refused."""
    with guarded(ctx):
        if check is not None and job is None and output is None:
            _verify(check, held_to, everything)
        elif check is None and job is not None and output is not None and held_to is None and not everything:
            _prove(job, output)
        else:
            raise FitcheckError("write fitcheck proof JOB -o FILE, or fitcheck proof --verify FILE [--job JOB] [--all]")


def _prove(job: Path, output: Path) -> None:
    from fitcheck.clearance.gaps import Found
    from fitcheck.clearance.proof import proof_bytes

    verdict = judged(job)
    found = [entry.found for entry in verdict.gaps] + [Found(pair, None, None) for pair in verdict.passed_over]
    write(output, proof_bytes(verdict.opened, verdict.scene, found))


def _verify(path: Path, job: Path | None, everything: bool) -> None:
    from fitcheck.verify import Refused
    from fitcheck.verify.files import verify_file
    from fitcheck.verify.short import in_short

    try:
        lines = verify_file(path, job)
    except Refused as reason:
        say(f"refused: {path}: {reason}")
        raise typer.Exit(REFUSED) from None
    except OSError as error:
        raise FitcheckError(f"{error.filename} cannot be read: {error.strerror}") from error
    tell("\n".join((f"verified: {path}", *(lines if everything else in_short(lines)))) + "\n")
