"""Commands that make what is taken along: measuring sheet, job sheet, templates, the page, parts as solids."""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.door import JobFile, app, guarded, judged, opened_with, progress, say, write
from fitcheck.errors import FitcheckError, GeometryError

if TYPE_CHECKING:
    from fitcheck.job.opening import OpenJob
    from fitcheck.report.paper.sheets import Size as Sheet


class PaperSize(StrEnum):
    """What paper is in the printer."""

    A4 = "a4"
    LETTER = "letter"


Size = Annotated[PaperSize, typer.Option("--size", help="paper in the printer")]


@app.command()
def measure(
    ctx: typer.Context,
    job: Annotated[
        Path | None, typer.Argument(metavar="[JOB]", help="only what it lacks or what is worth taking again")
    ] = None,
    output: Annotated[Path, typer.Option("-o", "--output", help="PDF file to write")] = Path("measuring-sheet.pdf"),
    size: Size = PaperSize.A4,
) -> None:
    """The measuring sheet: what to read, from where to where, with blanks; the dozen for a first answer on page one."""
    with guarded(ctx):
        from fitcheck.report.measure.sheet import blank_sheet
        from fitcheck.report.paper.sheets import Size as Sheet

        _needs(output, ".pdf")
        paper = Sheet(size.value)
        made = blank_sheet(paper) if job is None else opened_with(job, lambda opened: _own_sheet(opened, paper))[1]
        write(output, made)


def _own_sheet(opened: "OpenJob", paper: "Sheet") -> bytes:
    """Of a job that is still guessed, its plan; else what it lacks or what is worth taking again."""
    from fitcheck.confidence.plan import can_be_planned, plan
    from fitcheck.report.measure.sheet import job_sheet, plan_sheet
    from fitcheck.verdict import judge

    verdict = judge(opened)
    if can_be_planned(opened.job):
        return plan_sheet(verdict, plan(opened.job, opened.folder), paper)
    return job_sheet(verdict, paper)


@app.command()
def jobsheet(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="PDF file to write")],
    size: Size = PaperSize.A4,
) -> None:
    """The job sheet: one page to lie under the car with, then results, cuts, shaft, boxes to fill in and to sign."""
    with guarded(ctx):
        from fitcheck.report.jobsheet.sheet import job_sheet
        from fitcheck.report.paper.sheets import Size as Sheet

        _needs(output, ".pdf")
        progress("judging the job")
        verdict = judged(job)
        progress("drawing the sheet")
        write(output, job_sheet(verdict, Sheet(size.value)))


@app.command()
def template(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="a folder for both, or a .pdf or .dxf file")],
    size: Size = PaperSize.A4,
    paper: Annotated[str, typer.Option("--paper", help="thickness of the paper the strip is printed on")] = "0.1 mm",
) -> None:
    """Templates in true size: strip round the jacket, firewall plate, bracket plates, unit's outline."""
    with guarded(ctx):
        from fitcheck.report.paper.sheets import Size as Sheet
        from fitcheck.report.template.templates import paper_thickness, templates_dxf, templates_pdf

        thick = paper_thickness(paper)
        targets = _targets(output, "templates", (".pdf", ".dxf"))
        progress("judging the job")
        verdict = judged(job)
        progress("drawing the templates")
        made = [
            templates_pdf(verdict, Sheet(size.value), thick)
            if target.suffix.lower() == ".pdf"
            else templates_dxf(verdict, thick)
            for target in targets
        ]
        for target, content in zip(targets, made, strict=True):
            write(target, content)


@app.command()
def export(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="a folder for GLB and STL, or a .glb file")],
) -> None:
    """The parts as solids for other programs: one GLB with named nodes, one STL a part, what pedals and boots sweep."""
    with guarded(ctx):
        from fitcheck.report.export import glb, stls

        whole = _targets(output, "car", (".glb",))[0]
        verdict = judged(job)
        made = [(whole, glb(verdict))]
        if whole != output:
            made += [(output / name, content) for name, content in stls(verdict)]
        for target, content in made:
            write(target, content)


@app.command()
def page(
    ctx: typer.Context,
    job: JobFile,
    output: Annotated[Path, typer.Option("-o", "--output", help="HTML file to write")],
    with_map: Annotated[bool, typer.Option("--map/--no-map", help="with the map over clock and place")] = True,
) -> None:
    """One HTML file for a phone or a desk: results, a mock-up to turn with sliders for the pedals, cuts, shaft."""
    with guarded(ctx):
        from fitcheck.clearance.over_travel import over_travel
        from fitcheck.confidence.clocking import to_look_at
        from fitcheck.geometry.gap import GapEngine
        from fitcheck.placement.scene import Part
        from fitcheck.report.page.model import rows
        from fitcheck.report.page.page import page as make

        _needs(output, ".html")
        progress("judging the job")
        verdict, engine = judged(job), GapEngine()
        progress("every pair along its pedal's travel")
        pairs = [(entry.pair.a, entry.pair.b) for entry in rows(verdict)]
        along = {
            (a.name, b.name): over_travel(engine, verdict.scene, a, b)
            for a, b in pairs
            if isinstance(a, Part) and isinstance(b, Part)
        }
        opened = verdict.opened
        look = None
        try:
            if with_map:
                progress("the map over clock and place (--no-map leaves it out)")
                look = to_look_at(engine, opened.job, opened.folder, verdict.scene)
        except GeometryError as error:
            say(f"the page has no map: {error}")
        progress("writing the page")
        write(output, make(verdict, along, look).encode())


def _needs(output: Path, kind: str) -> None:
    if output.suffix.lower() != kind:
        raise FitcheckError(f"{output}: name a file that ends in {kind}")


def _targets(output: Path, name: str, kinds: tuple[str, ...]) -> list[Path]:
    """The file named, or one of each kind in the folder named."""
    if output.suffix.lower() in kinds and not output.is_dir():
        return [output]
    if output.suffix and not output.is_dir():
        raise FitcheckError(f"{output}: name a folder that is there, or a file that ends in {' or '.join(kinds)}")
    try:
        output.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise FitcheckError(f"{output} cannot be made a folder: {error.strerror}") from error
    return [output / f"{name}{kind}" for kind in kinds]
