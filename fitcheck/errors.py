"""Every error fitcheck raises on purpose. Anything else that reaches the command is a bug of ours (exit code 70)."""

from dataclasses import dataclass


class FitcheckError(Exception):
    """Root of the tree; the text says what is wrong and what to do about it."""


class GeometryError(FitcheckError):
    """A shape that is no shape: NaN, flat, empty, absurdly large, or indices that point nowhere."""


class MeshError(FitcheckError):
    """A mesh file that cannot be used, with the reason and the file."""


class DrawingError(FitcheckError):
    """A picture cannot be made here, with what to install."""


class LengthError(FitcheckError, ValueError):
    """A text that is no length or angle; the message says what to write."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong with a job file: where it stands, which key, and in words what is wrong and what to write."""

    file: str
    line: int
    column: int
    key: str
    message: str

    def __str__(self) -> str:
        return f"{self.file}:{self.line}:{self.column}: {self.key}: {self.message}"


class JobError(FitcheckError):
    """A job file that cannot be judged; carries all its faults, in the order of the file."""

    def __init__(self, faults: list[Fault]) -> None:
        super().__init__("\n".join(str(fault) for fault in faults))
        self.faults = tuple(faults)


class KeyFault(FitcheckError):
    """Something wrong with what stands under one key of the job, found while the job is placed or judged."""

    def __init__(self, path: tuple[str | int, ...], message: str) -> None:
        super().__init__(message)
        self.path = path
        self.message = message


class Missing(FitcheckError):
    """Readings that something cannot be found without: their keys, and in words what to measure."""

    def __init__(self, keys: list[str], measure: str) -> None:
        super().__init__(f"missing {', '.join(keys)}: measure {measure}")
        self.keys = tuple(keys)
        self.measure = measure
