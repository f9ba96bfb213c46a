"""Commands that print a result: the whole job, or one chapter of it."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.door import AsJson, JobFile, app, as_text, guarded, judged, opened_with, progress, tell, write
from fitcheck.errors import FitcheckError

if TYPE_CHECKING:
    from fitcheck.verdict import Verdict

Draws = Annotated[
    int, typer.Option(min=0, max=1_000_000, help="draws of all readings for the chances; 0: the normal ones")
]
Ahead = Annotated[
    bool, typer.Option("--plan", help="of a job still guessed: which readings decide every pair with the least work")
]
Drawing = Annotated[Path | None, typer.Option("--picture", help="drawing to write as well: .png, .pdf or .svg")]

UNSURE, NO_ROOM, DRAWS = 3, 1, 10_000


@app.command()
def check(
    ctx: typer.Context,
    job: JobFile,
    as_json: AsJson = False,
    draws: Draws = DRAWS,
    everything: Annotated[bool, typer.Option("--all", help="also what nobody has to act on")] = False,
) -> None:
    """Judge the whole job: does it fit, and where is it closest?"""
    with guarded(ctx):
        from fitcheck.report.document import check_document
        from fitcheck.report.text import check_text

        verdict = judged(job, draws)
        tell(as_text(check_document(verdict)) if as_json else check_text(verdict, everything=everything))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def gaps(ctx: typer.Context, job: JobFile, as_json: AsJson = False, draws: Draws = DRAWS) -> None:
    """The gaps alone: every pair, those that were there before included."""
    with guarded(ctx):
        from fitcheck.report.document import gaps_document
        from fitcheck.report.text import gaps_text

        verdict = judged(job, draws)
        tell(as_text(gaps_document(verdict)) if as_json else gaps_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def readings(ctx: typer.Context, job: JobFile, as_json: AsJson = False, ahead: Ahead = False) -> None:
    """The points by all their readings: how sure each is, which reading is in doubt, what is checked by nothing."""
    with guarded(ctx):
        if ahead:
            _plan(job, as_json)
        from fitcheck.readings.guesses import as_guessed
        from fitcheck.readings.points import points_of
        from fitcheck.report.readings_chapter import readings_chapter, readings_chapter_text

        opened, points = opened_with(job, lambda opened: points_of(as_guessed(opened.job)))
        tell(as_text(readings_chapter(opened, points)) if as_json else readings_chapter_text(opened, points))
        raise typer.Exit(0 if points is None or points.sound else UNSURE)


def _plan(job: Path, as_json: bool) -> None:
    from fitcheck.confidence.plan import plan
    from fitcheck.report.plan_document import plan_document
    from fitcheck.report.plan_text import plan_text

    opened, found = opened_with(job, lambda opened: plan(opened.job, opened.folder))
    tell(as_text(plan_document(opened, found)) if as_json else plan_text(opened, found))
    raise typer.Exit(NO_ROOM if found.no_room else 0 if found.decides else UNSURE)


@app.command(name="mock-up")
def mock_up(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """What to find on the mock-up, and what was found against what the readings predict."""
    with guarded(ctx):
        from fitcheck.report.document import mock_up_chapter
        from fitcheck.report.text import mock_up_text

        verdict = judged(job)
        tell(as_text(mock_up_chapter(verdict)) if as_json else mock_up_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def boots(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """Boots and legs: on the pedals, lifted off, crossing over, at rest; the heel; room between the pads."""
    with guarded(ctx):
        from fitcheck.report.document import boots_chapter
        from fitcheck.report.text import boots_chapter_text

        verdict = judged(job)
        if verdict.boots is None:
            raise FitcheckError("the job holds no boots under [driver] yet; examples/saloon-way-in/job.toml shows some")
        tell(as_text(boots_chapter(verdict)) if as_json else boots_chapter_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def reach(ctx: typer.Context, job: JobFile, as_json: AsJson = False) -> None:
    """Reaching in: how low the unit hangs, the way in and out, room for hands and tools."""
    with guarded(ctx):
        from fitcheck.report.document import reach_chapter
        from fitcheck.report.text import reach_chapter_text

        verdict = judged(job)
        if verdict.reach is None:
            raise FitcheckError("the job holds no [reach] yet; examples/saloon-way-in/job.toml shows one")
        tell(as_text(reach_chapter(verdict)) if as_json else reach_chapter_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def cuts(ctx: typer.Context, job: JobFile, as_json: AsJson = False, drawing: Drawing = None) -> None:
    """The cut list: where the saw goes, how much first, how much last."""
    with guarded(ctx):
        from fitcheck.report.document import cuts_chapter
        from fitcheck.report.side_view import kind_of, side_view
        from fitcheck.report.text import cut_list_text

        verdict = judged(job)
        if verdict.cuts is None:
            raise FitcheckError("the job holds no [cuts] yet; examples/saloon-10-45/job.toml shows what to write")
        if drawing is not None:
            write(drawing, side_view(verdict.opened.job, verdict.cuts, f"{_which(verdict)}.", kind_of(drawing.name)))
        tell(as_text(cuts_chapter(verdict)) if as_json else cut_list_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


@app.command()
def clocking(ctx: typer.Context, job: JobFile, as_json: AsJson = False, drawing: Drawing = None) -> None:
    """Every clock and place along the column that keeps its gaps, the best one, and what would help where none does."""
    with guarded(ctx):
        from fitcheck.confidence.clocking import find
        from fitcheck.report.clocking_document import clocking_document
        from fitcheck.report.clocking_picture import clocking_picture
        from fitcheck.report.clocking_text import clocking_text, exit_code
        from fitcheck.report.side_view import kind_of

        opened, chapter = opened_with(job, lambda opened: find(opened.job, opened.folder, progress))
        if drawing is not None:
            write(drawing, clocking_picture(opened, chapter, kind_of(drawing.name)))
        tell(as_text(clocking_document(opened, chapter)) if as_json else clocking_text(opened, chapter))
        raise typer.Exit(exit_code(chapter))


@app.command()
def shaft(ctx: typer.Context, job: JobFile, as_json: AsJson = False, drawing: Drawing = None) -> None:
    """The intermediate shaft: true angles, which tooth, how long, how much collapse is left."""
    with guarded(ctx):
        from fitcheck.report.document import shaft_chapter
        from fitcheck.report.phase_drawing import drawings, shaft_drawing
        from fitcheck.report.side_view import kind_of
        from fitcheck.report.text import shaft_chapter_text

        verdict = judged(job)
        if verdict.shaft is None:
            raise FitcheckError("the job holds no [shaft] with joints yet; examples/saloon-shaft/job.toml shows one")
        if drawing is not None:
            name = verdict.opened.job.job.name
            about = f"{name}: {_which(verdict)}"
            for path, found, result in drawings(verdict, drawing):
                write(path, shaft_drawing(found, about, result, kind_of(drawing.name)))
        tell(as_text(shaft_chapter(verdict)) if as_json else shaft_chapter_text(verdict))
        raise typer.Exit(verdict.outcome.exit_code)


def _which(verdict: "Verdict") -> str:
    return f"job {verdict.opened.digest[:12]}, {verdict.opened.job.job.date or 'no date in job'}"
