"""A job file read and checked: the text, its digest, the model, or all its faults at once with line and column."""

import codecs
import hashlib
import re
import sys
import tomllib
from pathlib import Path as FilePath
from typing import BinaryIO, Literal, TypeVar

from pydantic import BaseModel, ValidationError

from fitcheck.errors import Fault, JobError
from fitcheck.job.faults import Finding, MisfitError, findings
from fitcheck.job.positions import BYTE_ORDER_MARK, Path, Place, key_positions, positions
from fitcheck.job.remedies import spelled

M = TypeVar("M", bound=BaseModel)

LARGEST_BYTES = 5_000_000
STDIN_NAME = "standard input"

_AT = re.compile(r" \(at (?:line (\d+), column (\d+)|end of document)\)$")
_KEY = re.compile(r"\s*(?:\[+\s*)?([A-Za-z0-9_.-]+)\s*[\]=]")
_INCH_IN_QUOTES = re.compile(r'\d"[^"=,\]}#]*"(?=\s*(?:[,}\]#]|$))')
_SYNTAX = {
    "Invalid value": 'no value stands here; text, lengths and angles go in quotes, as in "15 1/2 in"',
    "Expected newline or end of document": "something follows the value; one key on each line, text in quotes",
    "Expected '='": "a key is followed by = and a value",
    "Cannot overwrite a value": "this key is written twice; keep one of them",
    "Cannot declare": "this table is written twice; put its keys together under one header",
    "Duplicate inline table key": "a key is written twice in this table; keep one of them",
    "Cannot mutate": "this table was closed by its braces; write all its keys between them",
    "Unterminated string": "the closing quote is missing",
    "Illegal character '\\n'": "the closing quote is missing on this line",
    "Unclosed array": "a comma or the closing ] is missing",
    "Unclosed inline table": "a comma or the closing } is missing",
    "Unescaped '\\' in a string": "a backslash in double quotes is doubled, or the text put in single quotes",
    "Expected ']' at the end of a table": "the closing ] behind the table's name is missing",
    "Expected ']]' at the end of an array": "the closing ]] behind the table's name is missing",
    "Expected \"'": "the closing quote is missing",
    "Found invalid character '\\n'": "the closing quote is missing on this line",
    "Invalid statement": "a line is key = value or [table]; keys of other than letters, digits, - and _ go in quotes",
    "Invalid initial character": "no key starts like this; keys of other than letters, digits, - and _ go in quotes",
    "Exceeds the limit": "a number of thousands of digits",
}
_BRACES_REMEDY = "everything between { and } stands on one line"
_IN_QUOTES = re.compile(r'"(?:[^"\\]|\\.)*"|\'[^\']*\'')
_NO_TEXT = {
    b"\x89PNG": "a picture (PNG)",
    b"\xff\xd8\xff": "a picture (JPEG)",
    b"GIF8": "a picture (GIF)",
    b"%PDF": "a PDF",
    b"PK\x03\x04": "a packed file (zip, or an office document)",
    b"\x1f\x8b": "a packed file (gzip)",
}
UTF_16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_PHONE_PICTURE = re.compile(rb"....ftyp(?:heic|heix|hevc|mif1|avif)", re.DOTALL)
_INCH_REMEDY = (
    """an inch mark ends a text in double quotes; write in, as in "15 1/2 in", or '15 1/2"' in single quotes"""
)
_CURLY = re.compile("[\u201c\u201d\u201e\u2018\u2019\u2033\u2032]")
_CURLY_REMEDY = (
    "curly quotes, as a phone or a word processor writes them, are no quotes here: write the straight "
    """", as in "15 1/2 in\""""
)


def load(text: str, file: str, model: type[M]) -> M:
    """`text` as a `model`; raises JobError with every fault of it, in the order of the file."""
    try:
        data = _values(text, file)
        try:
            return model.model_validate(data)
        except ValidationError as error:
            values, keys = positions(text), key_positions(text)
            found = [_fault(finding, file, values, keys) for finding in findings(error, model)]
    except RecursionError:
        found = [Fault(file, 1, 1, "whole file", "tables or lists are nested too deeply to be read")]
    raise JobError(sorted(found, key=lambda fault: (fault.line, fault.column)))


def fault_at(text: str, file: str, path: Path, message: str) -> Fault:
    """A fault found after loading, at the value of `path`, or at the nearest table round it that is written."""
    return _fault(Finding(path, path, message), file, positions(text), {})


def read(path: FilePath | Literal["-"], stdin: BinaryIO | None = None) -> tuple[str, str]:
    """Text and display name of a job file, "-" for standard input; raises JobError, saying what to do.

    The text is the file's to the byte: line ends and a byte order mark stay, so its digest is the file's.
    """
    if str(path) == "-":
        data, name = (stdin or sys.stdin.buffer).read(LARGEST_BYTES + 1), STDIN_NAME
    else:
        data, name = _bytes_of(FilePath(path)), str(path)
    kind = next((words for start, words in _NO_TEXT.items() if data.startswith(start)), None)
    if kind is not None or _PHONE_PICTURE.match(data):
        raise _refused(name, f"this is no text file but {kind or 'a picture'}; name the job file, job.toml")
    if data[:2] in UTF_16 or b"\0\0" in (data[:4:2], data[1:4:2]):
        raise _refused(name, "text saved as UTF-16, which some editors call Unicode; save it as UTF-8 in the editor")
    if len(data) > LARGEST_BYTES:
        raise _refused(name, f"over {LARGEST_BYTES // 1_000_000} MB; a job file holds readings, meshes stand beside it")
    try:
        return data.decode("utf-8"), name
    except UnicodeDecodeError as error:
        head = data[: error.start].decode("utf-8")
        line, column = head.count("\n") + 1, len(head) - (head.rfind("\n") + 1) + 1
        raise _refused(name, "not UTF-8 text from here on; save it as UTF-8 in the editor", line, column) from None


def digest(text: str | bytes) -> str:
    """SHA-256 of the text (as UTF-8) or bytes, in hex (FIPS 180-4)."""
    return hashlib.sha256(text.encode() if isinstance(text, str) else text).hexdigest()


def _bytes_of(path: FilePath) -> bytes:
    try:
        if path.is_dir():
            raise _refused(
                str(path), "a folder without a job.toml; name the job file in it, or start one with: fitcheck new"
            )
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise _refused(str(path), "no such file; check the name, or start one with: fitcheck new") from None
    except (OSError, ValueError) as error:
        reason = error.strerror if isinstance(error, OSError) and error.strerror else str(error)
        raise _refused(str(path), f"cannot be read: {reason}") from None


def _refused(name: str, message: str, line: int = 1, column: int = 1) -> JobError:
    return JobError([Fault(name, line, column, "whole file", message)])


def _fault(finding: Finding, file: str, values: dict[Path, Place], keys: dict[Path, Place]) -> Fault:
    places, path = (keys if finding.at_key else values), finding.stands
    while path and path not in places:
        path = path[:-1]
    line, column = places.get(path, (1, 1))
    return Fault(file, line, column, spelled(finding.path), finding.message)


def _values(text: str, file: str) -> dict[str, object]:
    plain = text.removeprefix(BYTE_ORDER_MARK)
    try:
        return tomllib.loads(plain)
    except ValueError as error:  # besides TOML's own: integers too long to be converted
        raise JobError([_syntax_fault(str(error), plain, file)]) from None


def _syntax_fault(said: str, text: str, file: str) -> Fault:
    lines = text.split("\n")
    at, plain = _AT.search(said), _AT.sub("", said)
    line, column = (1, 1) if at is None else (len(lines), len(lines[-1]) + 1)
    if at and at[1]:
        line, column = int(at[1]), int(at[2])
    row = lines[line - 1]
    key = _KEY.match(row) if at else None
    remedy = next((words for start, words in _SYNTAX.items() if plain.startswith(start)), plain)
    if at and _INCH_IN_QUOTES.search(row):
        remedy = _INCH_REMEDY
    elif at and _CURLY.search(row):
        remedy = _CURLY_REMEDY
    elif at and any(lines[line:]) and _left_open(row, column):
        remedy = _BRACES_REMEDY
    return Fault(file, line, column, key[1] if key else "whole file", f"not TOML: {remedy}")


def _left_open(row: str, column: int) -> bool:
    """Whether a row ends at the column with a brace still open."""
    before, behind = _IN_QUOTES.sub("", row[: column - 1]), row[column - 1 :].strip()
    return before.count("{") > before.count("}") and (not behind or behind.startswith("#"))


__all__ = ["LARGEST_BYTES", "MisfitError", "digest", "fault_at", "load", "read"]
