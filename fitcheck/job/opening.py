"""A job file opened: read, checked within itself, and ready to be judged; or all that is wrong with it, in one go."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from os.path import isfile
from pathlib import Path
from typing import Literal

from fitcheck.errors import Fault, FitcheckError, JobError, KeyFault
from fitcheck.job.crosschecks import Complaint, crosschecks
from fitcheck.job.loading import digest, fault_at, load, read
from fitcheck.job.model import Job
from fitcheck.job.salvage import Rest, rest_of, values_of

STARTED = "job.toml"  # what a job file is called in its folder
MOST_ROUNDS = 40
Try = Callable[[Job, Path], None]


@dataclass(frozen=True)
class OpenJob:
    """A job with the file it came from: its text, display name, folder (for mesh files) and the text's SHA-256."""

    job: Job
    text: str
    file: str
    folder: Path
    digest: str

    def fault(self, error: KeyFault, tried: Try | None = None) -> JobError:
        """A fault found while placing or judging, at its line and column, and what else `tried` finds."""
        first = fault_at(self.text, self.file, error.path, error.message)
        return _all_of([first], self.text, self.file, self.folder, tried)


def open_job(path: Path | Literal["-"], tried: Try | None = None) -> OpenJob:
    """The job at `path` (a folder's job.toml; "-": standard input); raises JobError with all its faults.

    `tried` raises KeyFault where a job cannot be placed; it is asked about the sound parts of a faulty one.
    """
    path = _file_at(path)
    text, name = read(path)
    folder = Path.cwd() if str(path) == "-" else Path(path).resolve().parent
    try:
        job = load(text, name, Job)
        faults = [fault_at(text, name, where, message) for where, message in crosschecks(job)]
    except JobError as error:
        faults = list(error.faults)
    if faults:
        raise _all_of(faults, text, name, folder, tried)
    return OpenJob(job, text, name, folder, digest(text))


def _file_at(path: Path | Literal["-"]) -> Path | Literal["-"]:
    """The file named, or the one that a folder or a name without its ending means."""
    if str(path) == "-":
        return path
    near = (Path(path) / STARTED, Path(f"{path}.toml"))
    return path if isfile(path) else next((file for file in near if isfile(file)), path)


def _all_of(faults: list[Fault], text: str, file: str, folder: Path, tried: Try | None) -> JobError:
    """The faults and every other one that can be found, in the order of the file."""
    found = (fault_at(text, file, where, message) for where, message in _further(text, folder, tried))
    return JobError(sorted(dict.fromkeys([*faults, *found]), key=lambda fault: (fault.line, fault.column)))


def _further(text: str, folder: Path, tried: Try | None) -> Iterator[Complaint]:
    """Faults of the parts that can be read: names first, then, where those lead somewhere, how they are placed."""
    values = values_of(text)
    rest = None if values is None else rest_of(values)
    for _ in range(MOST_ROUNDS):
        if rest is None:
            return
        complaints = [(rest.in_file(path), message) for path, message in crosschecks(rest.job)]
        placing = not complaints
        if placing:
            rest = rest.on_a_column_that_stands()
            complaints = [] if rest is None else _placing(rest, folder, tried)
        if rest is None or not complaints:
            return
        for path, message in complaints:
            if not rest.is_about_what_is_lost(path) and not (placing and rest.needs_the_column(path)):
                yield path, message
        rest = rest.without(path for path, _ in complaints)


def _placing(rest: Rest, folder: Path, tried: Try | None) -> list[Complaint]:
    """The next fault of placing; none where all can be placed, or nothing can be tried."""
    try:
        if tried is not None:
            tried(rest.job, folder)
    except KeyFault as error:
        return [(rest.in_file(error.path), error.message)]
    except FitcheckError:  # of the whole, and told once the faults are mended
        return []
    return []
