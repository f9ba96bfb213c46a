"""What is made goes to a file whole or not at all; what is shown cannot steer a terminal."""

import os
from contextlib import suppress
from pathlib import Path
from unicodedata import category

from fitcheck.errors import FitcheckError


def write_whole(path: Path, content: bytes) -> None:
    """`content` in the file at `path`, or the file as it was; raises FitcheckError."""
    if path.is_dir():
        raise FitcheckError(f"{path} is a folder; name the file in it")
    part = path.with_name(f".{path.name}.{os.getpid()}")
    try:
        part.write_bytes(content)
        os.replace(part, path)
    except OSError as error:
        raise FitcheckError(f"{path} cannot be written: {error.strerror}") from error
    finally:
        with suppress(OSError):
            part.unlink(missing_ok=True)


def harmless(text: str) -> str:
    """Control characters, which a name in a job may hold, spelled out: they would steer the terminal."""
    return "".join(f"\\u{ord(ch):04X}" if category(ch)[0] == "C" and ch != "\n" else ch for ch in text)
