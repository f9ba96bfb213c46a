"""Commands to begin with: a new job, its schema, the shapes that the project brings."""

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from fitcheck.cli.door import AsJson, app, as_text, guarded, say, tell, write
from fitcheck.errors import FitcheckError

if TYPE_CHECKING:
    pass


@app.command()
def new(
    ctx: typer.Context,
    folder: Annotated[Path, typer.Argument(metavar="DIR", help="folder to make; must not hold a job.toml yet")],
) -> None:
    """Start a job: a commented job file built on a dozen readings."""
    with guarded(ctx):
        from fitcheck.job.starter import starter_text

        target = folder / "job.toml"
        if target.exists():
            raise FitcheckError(f"{target} is there already; name another folder, or edit that file")
        try:
            folder.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FitcheckError(f"{folder} cannot be made a folder: {error.strerror}") from error
        write(target, starter_text().encode())
        shown = f'"{target}"' if " " in str(target) else str(target)
        say(f"then: fitcheck check {shown}")


@app.command()
def schema(ctx: typer.Context) -> None:
    """The job file's JSON Schema, for editors."""
    with guarded(ctx):
        from fitcheck.job.model import Job

        tell(as_text(Job.model_json_schema(by_alias=True)))


@app.command()
def shapes(ctx: typer.Context, as_json: AsJson = False) -> None:
    """What the project's own mesh library holds."""
    with guarded(ctx):
        from fitcheck.report.shapes import shapes_document, shapes_text

        tell(as_text(shapes_document()) if as_json else shapes_text())
