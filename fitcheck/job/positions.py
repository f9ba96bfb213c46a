"""Where every key and value of a TOML text stands: line and column, both from 1, columns in characters.

A scanner and no parser: it is only asked about a text `tomllib` has accepted, and leaves all judging of syntax to that.
A path counts the items of a list from 0; a byte order mark takes no column.
"""

import re
import tomllib
from bisect import bisect_right

Path = tuple[str | int, ...]
Place = tuple[int, int]
BYTE_ORDER_MARK = "\ufeff"

_BLANK = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^"\\]|\\.|"{1,2}(?!"))*"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*'{3,5}"
    r'|"(?:[^"\\\n]|\\.)*"'
    r"|'[^'\n]*'",
    re.DOTALL,
)
_BARE_VALUE = re.compile(r"[^,\]}#\n]+")


def positions(text: str) -> dict[Path, Place]:
    """(line, column) of the value at each path of `text`; of its key, where a table is made by a header or dots."""
    return _scanned(text).places(of_keys=False)


def key_positions(text: str) -> dict[Path, Place]:
    """(line, column) of the key at each path of `text`; list items have no key and stand where their value does."""
    return _scanned(text).places(of_keys=True)


def _scanned(text: str) -> "_Scanner":
    scanner = _Scanner(text.removeprefix(BYTE_ORDER_MARK))
    scanner.document()
    return scanner


class _Scanner:
    def __init__(self, text: str) -> None:
        self.text, self.at = text, 0
        self.keys: dict[Path, int] = {}
        self.values: dict[Path, int] = {}
        self.counts: dict[Path, int] = {}
        self.lines = [0, *(match.end() for match in re.finditer("\n", text))]

    def places(self, of_keys: bool) -> dict[Path, Place]:
        return {path: self.place(at) for path, at in (self.keys if of_keys else self.values).items()}

    def place(self, at: int) -> Place:
        line = bisect_right(self.lines, at)
        return line, at - self.lines[line - 1] + 1

    def document(self) -> None:
        base: Path = ()
        while not self.ended():
            if self.text[self.at] == "[":
                base = self.header()
            else:
                self.pair(base)

    def ended(self) -> bool:
        self.skip()
        return self.at == len(self.text)

    def skip(self, signs: str = "") -> None:
        """Past blanks, comments and, between them, any of `signs`."""
        self.at = self.end_of(_BLANK)
        while self.text[self.at : self.at + 1] in tuple(signs):
            self.at = _end(_BLANK, self.text, self.at + 1)

    def end_of(self, pattern: re.Pattern[str]) -> int:
        return _end(pattern, self.text, self.at)

    def header(self) -> Path:
        """Past `[a.b]` or `[[a.b]]`; the path that the pairs after it belong to."""
        is_list = self.text.startswith("[[", self.at)
        self.at += 2 if is_list else 1
        *ways, (last, at) = self.dotted()
        self.skip("]")
        path: Path = ()
        for key, where in ways:
            path = self.inside((*path, key), where)
        path = (*path, last)
        if not is_list:
            self.keys[path] = self.values[path] = at
            return path
        self.first(path, at)
        self.counts[path] = self.counts.get(path, 0) + 1
        return self.inside(path, at)

    def inside(self, path: Path, at: int) -> Path:
        """`path` noted as a table, or its newest item where it is a list of tables."""
        self.first(path, at)
        if path not in self.counts:
            return path
        path = (*path, self.counts[path] - 1)
        self.first(path, at)
        return path

    def first(self, path: Path, at: int) -> None:
        self.keys.setdefault(path, at)
        self.values.setdefault(path, at)

    def dotted(self) -> list[tuple[str, int]]:
        """Past `a . "b" . c`: its keys and where each starts."""
        keys = []
        while True:
            self.skip()
            start = self.at
            keys.append((self.key(), start))
            self.skip()
            if not self.text.startswith(".", self.at):
                return keys
            self.at += 1

    def key(self) -> str:
        start, quoted = self.at, self.text[self.at] in "\"'"
        self.at = self.end_of(_STRING if quoted else _BARE_KEY)
        written = self.text[start : self.at]
        return next(iter(tomllib.loads(f"{written} = 0"))) if quoted else written

    def pair(self, base: Path) -> None:
        *ways, (last, at) = self.dotted()
        for key, where in ways:
            base = (*base, key)
            self.first(base, where)
        self.skip("=")
        path = (*base, last)
        self.keys[path], self.values[path] = at, self.at
        self.value(path)

    def value(self, path: Path) -> None:
        sign = self.text[self.at]
        if sign == "[":
            self.items(path)
        elif sign == "{":
            self.inline_table(path)
        else:
            self.at = self.end_of(_STRING if sign in "\"'" else _BARE_VALUE)

    def items(self, path: Path) -> None:
        self.at += 1
        self.skip()
        count = 0
        while self.text[self.at] != "]":
            self.first((*path, count), self.at)
            self.value((*path, count))
            self.skip(",")
            count += 1
        self.at += 1

    def inline_table(self, path: Path) -> None:
        self.at += 1
        self.skip()
        while self.text[self.at] != "}":
            self.pair(path)
            self.skip(",")
        self.at += 1


def _end(pattern: re.Pattern[str], text: str, at: int) -> int:
    match = pattern.match(text, at)
    if match is None:
        raise ValueError(f"not TOML at character {at}; positions are asked of accepted texts only")
    return match.end()
