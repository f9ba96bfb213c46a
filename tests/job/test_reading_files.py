"""Job files off the disk or a pipe. The digest is held against the worked example "abc" of FIPS 180 (from memory)."""

import io
import sys
from pathlib import Path

import pytest

from fitcheck.errors import JobError
from fitcheck.job.loading import LARGEST_BYTES, digest, read


def refusal(path: Path, data: bytes | None = None) -> str:
    if data is not None:
        path.write_bytes(data)
    with pytest.raises(JobError) as caught:
        read(path)
    return str(caught.value).replace(str(path), "FILE")


def test_what_is_read_is_the_file_to_the_byte(tmp_path: Path) -> None:
    path, data = tmp_path / "car.toml", b"\xef\xbb\xbfname = 'caf\xc3\xa9'\r\n"
    path.write_bytes(data)
    text, name = read(path)
    assert name == str(path)
    assert text.encode() == data
    assert digest(text) == digest(data)


def test_a_dash_reads_what_is_piped_in(monkeypatch: pytest.MonkeyPatch) -> None:
    assert read("-", io.BytesIO(b"a = 1")) == ("a = 1", "standard input")
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"b = 1")))
    assert read(Path("-")) == ("b = 1", "standard input")


def test_what_cannot_be_read_says_what_to_do(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    assert refusal(path) == "FILE:1:1: whole file: no such file; check the name, or start one with: fitcheck new"
    assert (
        refusal(tmp_path)
        == "FILE:1:1: whole file: a folder without a job.toml; name the job file in it, or start one with: fitcheck new"
    )
    assert refusal(path, b"a = 1\nb = '\xc3\xa9\xe9'") == (
        "FILE:2:7: whole file: not UTF-8 text from here on; save it as UTF-8 in the editor"
    )
    for coding in ("utf-16", "utf-16-le", "utf-16-be"):
        said = "text saved as UTF-16, which some editors call Unicode; save it as UTF-8 in the editor"
        assert refusal(path, "a = 1".encode(coding)) == f"FILE:1:1: whole file: {said}"
    assert refusal(path, b" " * (LARGEST_BYTES + 1)) == (
        "FILE:1:1: whole file: over 5 MB; a job file holds readings, meshes stand beside it"
    )
    assert "cannot be read: " in refusal(tmp_path / "nul\0")


@pytest.mark.parametrize(
    ("head", "kind"),
    [
        (b"\x89PNG\r\n\x1a\n", "a picture (PNG)"),  # ISO/IEC 15948, 5.2; the other signatures from memory
        (b"\xff\xd8\xff\xe0\x00\x10JFIF", "a picture (JPEG)"),
        (b"\x00\x00\x00\x24ftypheic\x00\x00\x00\x00", "a picture"),
        (b"%PDF-1.7\n", "a PDF"),
        (b"PK\x03\x04\x14\x00", "a packed file (zip, or an office document)"),
    ],
)
@pytest.mark.parametrize("more", [0, LARGEST_BYTES + 1])
def test_a_picture_or_a_document_is_told_as_what_it_is(tmp_path: Path, head: bytes, kind: str, more: int) -> None:
    """However large: a photograph off a phone is."""
    assert refusal(tmp_path / "IMG_1.toml", head + b"\x00" * more) == (
        f"FILE:1:1: whole file: this is no text file but {kind}; name the job file, job.toml"
    )


def test_the_digest_is_sha_256() -> None:
    worked = "ba7816bf 8f01cfea 414140de 5dae2223 b00361a3 96177a9c b410ff61 f20015ad"
    assert digest("abc") == digest(b"abc") == worked.replace(" ", "")
