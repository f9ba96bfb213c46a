"""`python -m tests.campaigns NAME ...`: runs one campaign; exit code 1 where anything was found."""

import argparse
import sys

from tests.campaigns import gaps, jobs, maps, readings, swings


def main() -> int:
    parser = argparse.ArgumentParser(prog="python -m tests.campaigns", description="Long random comparisons.")
    names = parser.add_subparsers(dest="name", required=True)
    for campaign in (gaps, jobs, maps, readings, swings):
        campaign.options(names)
    asked = parser.parse_args()
    return int(asked.run(asked))


if __name__ == "__main__":
    sys.exit(main())
