"""`python -m fitcheck.verify PROOF [JOB]`: the check alone, where only numpy is installed. 0 verified, 1 refused."""

import sys
from pathlib import Path

from fitcheck.verify import Refused
from fitcheck.verify.files import verify_file


def main(arguments: list[str]) -> int:
    """Tell what a proof proves; the exit code."""
    if len(arguments) not in (1, 2):
        sys.stderr.write("write python -m fitcheck.verify PROOF [JOB]\n")
        return 2
    try:
        lines = verify_file(*map(Path, arguments))
    except Refused as reason:
        sys.stderr.write(f"refused: {reason}\n")
        return 1
    except OSError as error:
        sys.stderr.write(f"{error.filename} cannot be read: {error.strerror}\n")
        return 2
    sys.stdout.write("\n".join(("verified", *lines)) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
