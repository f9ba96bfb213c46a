"""`python -m tests.benchmarks [EXAMPLE ...]`: the table, in Markdown; a few minutes. Ratios are what is compared."""

import argparse
import sys
from itertools import chain

from tests.benchmarks.drawing import drawing_rows
from tests.benchmarks.sampling import Count, by_coal, by_fcl
from tests.benchmarks.scans import scan_rows
from tests.benchmarks.work import Example, Row, job_rows, map_rows

HEADS = (
    *("work", "queries", "best of five, s", "of its own thread", "sampled with"),
    *("queries", "s", "x queries", "x time", "part that was run"),
)
LIBRARIES = {"coal": by_coal, "python-fcl": by_fcl}


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument("examples", nargs="*", default=["saloon-10-45", "van-440-along"])
    asked = parser.parse_args()
    print(f"| {' | '.join(HEADS)} |\n|{'---|' * len(HEADS)}")
    for name in asked.examples:
        example = Example(name)
        for row in chain(drawing_rows(example), job_rows(example, LIBRARIES), map_rows(example, LIBRARIES)):
            for library, count in row.baseline.items():
                print(line(row, library, count), flush=True)
    for row in scan_rows(Example("saloon-10-45")):
        for library, count in row.baseline.items():
            print(line(row, library, count), flush=True)
    return 0


def line(row: Row, library: str, count: Count) -> str:
    cells = [
        row.work,
        f"{row.queries:,}",
        f"{row.best.seconds:.3f}",
        f"{row.best.own:.3f}",
        library,
        f"{count.queries:,.0f}",
        f"{count.seconds:,.0f}",
        f"{count.queries / row.queries:,.0f}" if row.queries else "-",
        f"{count.seconds / row.best.seconds:,.0f}",
        "all" if count.share >= 1 else f"{count.share:.2g} of the samples, the rest by scale: {row.part}",
    ]
    return f"| {' | '.join(cells)} |"


if __name__ == "__main__":
    sys.exit(main())
