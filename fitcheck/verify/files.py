"""A proof read from its file, with the files it names: the job's and the meshes'."""

from functools import partial
from pathlib import Path

from fitcheck.verify import verify


def verify_file(path: Path, job: Path | None = None) -> list[str]:
    """What the proof at `path` proves, line by line; Refused where it is not accepted, OSError where it cannot be read.

    Files it names are looked for beside `job`, which it must then be about, else beside the proof.
    """
    folder = path.parent if job is None else job.parent
    return verify(path.read_bytes(), partial(_beside, folder), None if job is None else job.read_bytes())


def _beside(folder: Path, name: str) -> bytes | None:
    """The file of that name in the folder or below it, None where there is none."""
    inside = not Path(name).is_absolute() and ".." not in Path(name).parts and "\0" not in name
    return (folder / name).read_bytes() if inside and (folder / name).is_file() else None
