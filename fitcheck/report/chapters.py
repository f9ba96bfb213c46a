"""The chapters that are told as text or as JSON and nothing else, by the name of their command."""

from collections.abc import Callable
from functools import partial
from typing import Any

from fitcheck.errors import FitcheckError
from fitcheck.report import document, text
from fitcheck.verdict import Verdict

Told = tuple[Callable[[], dict[str, Any]], Callable[[], str]]


def _check(verdict: Verdict) -> Told:
    return partial(document.check_document, verdict), partial(text.check_text, verdict)


def _gaps(verdict: Verdict) -> Told:
    return partial(document.gaps_document, verdict), partial(text.gaps_text, verdict)


def _boots(verdict: Verdict) -> Told:
    if verdict.boots is None:
        raise FitcheckError("the job holds no boots under [driver] yet; examples/saloon-10-45/job.toml shows some")
    return partial(document.boots_chapter, verdict), partial(text.boots_chapter_text, verdict)


def _reach(verdict: Verdict) -> Told:
    if verdict.reach is None:
        raise FitcheckError("the job holds no [reach] yet; examples/saloon-10-45/job.toml shows one")
    return partial(document.reach_chapter, verdict), partial(text.reach_chapter_text, verdict)


CHAPTERS: dict[str, Callable[[Verdict], Told]] = {
    "check": _check,
    "gaps": _gaps,
    "boots": _boots,
    "reach": _reach,
}
