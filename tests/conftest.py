"""What all tests share: repeatable random examples, and tests that need what this machine lacks, said and left out.

With FITCHECK_TESTS=all (as in continuous integration) nothing is left out: what is missing is a failure.
"""

import importlib.util
import os
import re
import shutil
from pathlib import Path

import pytest
from hypothesis import settings

from fitcheck.errors import DrawingError

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command does; its processes inherit it
settings.register_profile("gate", derandomize=True, deadline=None, max_examples=60, database=None)
settings.load_profile("gate")
ALL = os.environ.get("FITCHECK_TESTS") == "all"
EXAMPLES = [path.parent.name for path in (Path(__file__).parents[1] / "examples").glob("*/job.toml")]
COAL_THERE = importlib.util.find_spec("coal") is not None
if not COAL_THERE and not ALL:
    HERE = Path(__file__).parent
    NEEDS_COAL = re.compile(r"^(import coal|from coal|from tests\.reference)", re.MULTILINE)
    collect_ignore = [
        str(path) for path in HERE.rglob("test_*.py") if NEEDS_COAL.search(path.read_text(encoding="utf-8"))
    ]
LEFT_OUT: list[str] = []


@pytest.fixture(autouse=True)
def _plain_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """Output does not depend on where the tests run."""
    for name in ("FORCE_COLOR", "GITHUB_ACTIONS", "COLUMNS"):
        monkeypatch.delenv(name, raising=False)


@pytest.hookimpl(tryfirst=True)  # before the groups are looked at
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    for item in items:
        _beside_others_of_its_example(item)
    if not COAL_THERE:
        LEFT_OUT.append("tests against coal: the package has no wheel here")
    for marker, what, why_not in (("opengl", "pictures", _why_no_pictures), ("chromium", "the page", why_no_browser)):
        marked = [item for item in items if item.get_closest_marker(marker)]
        reason = why_not() if marked and not ALL else None
        if reason is not None:
            LEFT_OUT.append(f"{len(marked)} tests of {what}: {reason}")
            items[:] = [item for item in items if item not in marked]
            config.hook.pytest_deselected(items=marked)


def _beside_others_of_its_example(item: pytest.Item) -> None:
    """Tests of one example run in one process (`--dist loadgroup`), so that it is judged once for all of them."""
    if isinstance(item, pytest.Function) and hasattr(item, "callspec"):
        texts = (value for value in item.callspec.params.values() if isinstance(value, str))
        example = next((text for text in texts if text in EXAMPLES), None)
        if example is not None:
            item.add_marker(pytest.mark.xdist_group(example))


def _why_no_pictures() -> str | None:
    from fitcheck.report.pictures.opengl import prepare_drawing

    try:
        prepare_drawing()
    except DrawingError as error:
        return str(error)
    return None


def why_no_browser() -> str | None:
    """Why the page cannot be driven here; None where it can."""
    if importlib.util.find_spec("playwright") is None:
        return "playwright is missing; install it with: pip install playwright"
    return None if shutil.which("chromium") else "Chromium is missing; on Debian: apt-get install chromium"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    for line in LEFT_OUT:
        terminalreporter.write_line(f"left out: {line}")
