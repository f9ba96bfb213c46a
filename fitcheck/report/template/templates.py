"""All templates of a job, in the order they are needed on the bench, and both kinds of file they go into."""

from fitcheck.cuts.firewall import Opening
from fitcheck.errors import FitcheckError
from fitcheck.job.lengths import parse_length
from fitcheck.report.paper.sheets import Size, Stamp
from fitcheck.report.template.drawing import Panel
from fitcheck.report.template.dxf import template_dxf
from fitcheck.report.template.outline import unit_panels
from fitcheck.report.template.pdf import template_pdf
from fitcheck.report.template.plate import bracket_panels, firewall_panel
from fitcheck.report.template.strip import strips
from fitcheck.verdict import Verdict

PAPER = "0.1 mm"  # of 80 g/m2 copying paper; common practice, no source
THICKEST_MM = 1.0


def panels(verdict: Verdict, paper_mm: float) -> list[Panel]:
    """Every template that the job holds enough for."""
    job, plan = verdict.opened.job, verdict.cuts
    found = strips(job, plan, verdict.scene.setting, paper_mm)
    if (
        job.cuts is not None
        and job.cuts.firewall is not None
        and plan is not None
        and isinstance(plan.opening, Opening)
    ):
        found.append(firewall_panel(job.cuts.firewall, plan.opening, job.job.show))
    return [*found, *bracket_panels(job), *unit_panels(job, verdict.scene)]


def paper_thickness(text: str) -> float:
    """Thickness of the paper a strip is printed on, mm; raises FitcheckError for what is none."""
    mm = parse_length(text).mm
    if not 0 <= mm <= THICKEST_MM:
        raise FitcheckError(f"paper is 0 to {THICKEST_MM:g} mm thick, not {text}; copying paper is {PAPER}")
    return mm


def templates_pdf(verdict: Verdict, size: Size, paper_mm: float) -> bytes:
    """The templates on paper."""
    return template_pdf(panels(verdict, paper_mm), size, Stamp.of(verdict, "Templates in true size"))


def templates_dxf(verdict: Verdict, paper_mm: float) -> bytes:
    """The templates for a cutter or a drawing program."""
    return template_dxf(panels(verdict, paper_mm), Stamp.of(verdict, "Templates in true size"))
