"""A job file opened: read, checked within itself, and ready to be judged."""

from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from fitcheck.errors import Fault, JobError, KeyFault
from fitcheck.job.crosschecks import crosschecks
from fitcheck.job.loading import digest, fault_at, load, read
from fitcheck.job.model import Job

STARTED = "job.toml"  # what a job file is called in its folder


@dataclass(frozen=True)
class OpenJob:
    """A job with the file it came from: its text, display name, folder (for mesh files) and the text's SHA-256."""

    job: Job
    text: str
    file: str
    folder: Path
    digest: str

    def fault(self, error: KeyFault) -> JobError:
        """A fault found while placing or judging, at its line and column."""
        return JobError([fault_at(self.text, self.file, error.path, error.message)])


def open_job(path: Path | Literal["-"]) -> OpenJob:
    """The job at `path` (a folder's job.toml; "-": standard input); raises JobError with all its faults."""
    if str(path) != "-" and (Path(path) / STARTED).is_file():
        path = Path(path) / STARTED
    text, name = read(path)
    job = load(text, name, Job)
    faults: list[Fault] = [fault_at(text, name, where, message) for where, message in crosschecks(job)]
    if faults:
        raise JobError(sorted(faults, key=lambda fault: (fault.line, fault.column)))
    folder = Path.cwd() if str(path) == "-" else Path(path).resolve().parent
    return OpenJob(job, text, name, folder, digest(text))
