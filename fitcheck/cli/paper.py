"""Commands that make paper to take along: templates."""

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from fitcheck.cli.door import JobFile, app, guarded, judged, write
from fitcheck.errors import FitcheckError


class PaperSize(StrEnum):
    """What paper is in the printer."""

    A4 = "a4"
    LETTER = "letter"


Size = Annotated[PaperSize, typer.Option("--size", help="paper in the printer")]


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
        verdict = judged(job)
        made = [
            templates_pdf(verdict, Sheet(size.value), thick)
            if target.suffix.lower() == ".pdf"
            else templates_dxf(verdict, thick)
            for target in targets
        ]
        for target, content in zip(targets, made, strict=True):
            write(target, content)


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
