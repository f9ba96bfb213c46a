"""One HTML file that works from disk with no network: results, mock-up with sliders, cuts, shaft, cautions.

The mock-up is drawn by the three.js that trimesh carries in its own viewer page, taken from there with its licence
notice. A content policy lets nothing run but the two scripts whose digests it names, and nothing be asked for.
"""

from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256
from html import escape
from importlib.resources import files

from fitcheck.clearance.over_travel import travels
from fitcheck.confidence.clocking import ToLookAt
from fitcheck.confidence.results import Judged
from fitcheck.errors import DrawingError
from fitcheck.placement.scene import Kind
from fitcheck.report import words
from fitcheck.report.boots_text import boots_rows
from fitcheck.report.clocking_dial import LEVELS
from fitcheck.report.cuts_text import cuts_text
from fitcheck.report.files import harmless
from fitcheck.report.lines import together
from fitcheck.report.page.chapters import UNBROKEN, markup
from fitcheck.report.page.chart import chart_model, kept
from fitcheck.report.page.model import Floors, model, rows, said_gap
from fitcheck.report.paper.sheets import NOT_AN_APPROVAL, Stamp
from fitcheck.report.reach_text import reach_rows
from fitcheck.report.readings_text import readings_rows
from fitcheck.report.seen_text import seen_rows
from fitcheck.report.shaft_text import shaft_text
from fitcheck.report.text import head, look_only
from fitcheck.verdict import Verdict

SHADES = ("none", "short", "kept")  # of the map: the levels of the drawn one, but for what is sure
TITLES = ("result", "between", "gap", "required", "where")
VIEWS = (("driver", "from the seat"), ("side", "from the left"), ("plan", "from above"), ("under", "lying under it"))


def page(verdict: Verdict, floors: Floors, look: ToLookAt | None = None) -> str:
    """The page, with a map where there is a chart; raises DrawingError where trimesh's viewer is not what it was."""
    style, own, three = _shipped("page.css"), _shipped("page.js"), three_js()
    stamp = Stamp.of(verdict, "Page")
    data = model(verdict, floors, None if look is None else chart_model(verdict, look))
    policy = (
        f"default-src 'none'; script-src {_digest(three)} {_digest(own)}; style-src {_digest(style)}; "
        "base-uri 'none'; form-action 'none'"
    )
    return "\n".join((
        '<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{policy}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_text(stamp.name)}</title>\n<style>{style}</style>\n</head>\n<body>",
        *_body(verdict, stamp, look),
        f'<script type="application/json" id="data">{data}</script>',
        f"<script>{three}</script>\n<script>{own}</script>\n</body>\n</html>\n",
    ))  # fmt: skip


def three_js() -> str:
    """three.js and its controls as trimesh carries them, licence notice first, without what starts its own viewer."""
    import trimesh
    from trimesh.viewer.notebook import scene_to_html

    html = scene_to_html(trimesh.Scene(trimesh.creation.box()))
    script = html[html.find("<script>") + len("<script>") : html.rfind("</script>")]
    start = script.rfind("function init(){")
    known = all(word in script for word in ("@license", "SPDX-License-Identifier: MIT", "TrackballControls"))
    if not known or start < 0 or not script.endswith("init();"):
        raise DrawingError("the page draws with the viewer of trimesh 4.4 to 5; this trimesh carries another one")
    return script[:start]


def _shipped(name: str) -> str:
    return files("fitcheck.report.page").joinpath(name).read_text(encoding="utf-8")


def _digest(text: str) -> str:
    return f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'"


def _text(text: str) -> str:
    return escape(harmless(text))


def _body(verdict: Verdict, stamp: Stamp, look: ToLookAt | None) -> Iterator[str]:
    yield f"<h1>{_text(stamp.name)}</h1>"
    lines = " ".join(" ".join(head(verdict, 10**6)[1:]).split())
    yield f'<p class="result">{_text(words.outcome(verdict).upper())}</p>'
    yield f"<p>{_text(lines)}</p>"
    yield f'<p class="quiet">{_text(NOT_AN_APPROVAL)}</p>'
    yield "<h2>Mock-up</h2>"
    yield '<div id="stage" role="img" aria-label="mock-up of the parts; all results stand in the table below">'
    yield '<svg id="compass" viewBox="-140 -62 280 124" aria-hidden="true"></svg></div>'
    yield '<p id="flat" hidden>No 3-D drawing here (no WebGL). Every result stands below all the same.</p>'
    if look is not None:
        yield '<p><strong id="moved" aria-live="polite"></strong></p>'
    yield '<div class="row"><button type="button" id="worst">worst over full travel</button>'
    yield '<span id="chosen" aria-live="polite"></span></div>'
    views = " ".join(f'<button type="button" id="view-{name}">{said}</button>' for name, said in VIEWS)
    boots = any(part.kind is Kind.BOOT for part in verdict.scene.parts)
    switch = ' <button type="button" id="boots" aria-pressed="false">hide the boots</button>' if boots else ""
    yield f'<div class="row" id="views">{views}{switch}</div>'
    yield '<p class="quiet">Lying under it: head to the firewall, looking up the column. Left and right change places '
    yield "there, as on the clock; the arrow points to the driver's door.</p>"
    for number, travel in enumerate(travels(verdict.scene)):
        low, high = min(travel.shares), max(travel.shares)
        yield (
            f'<div class="row"><label for="pedal-{number}">{_text(travel.pedal)}</label>'
            f'<input type="range" id="pedal-{number}" min="{low:.4f}" max="{high:.4f}" step="any" value="0">'
            f'<output id="told-{number}" for="pedal-{number}"></output></div>'
        )
    if look is not None:
        yield from _map(look, verdict)
    yield '<div id="plot-box" hidden><p>What the chosen pair keeps along the travel: certified for each stretch and at '
    yield 'its ends, never a value between. <span id="here" aria-live="polite"></span></p>'
    yield '<svg id="plot" viewBox="0 0 620 215" role="img" aria-label="gap over travel"></svg></div>'
    yield "<h2>Results, worst first</h2>"
    titles = "".join(f'<th role="columnheader">{title}</th>' for title in TITLES)
    yield '<div class="wide"><table id="results" role="table"><thead role="rowgroup">'
    yield f'<tr role="row">{titles}</tr></thead><tbody role="rowgroup">'
    yield from (_row(entry, verdict) for entry in rows(verdict))
    yield "</tbody></table></div>"
    yield from _chapters(verdict)
    yield "<h2>Cautions</h2><ul>"
    yield from (f"<li>{_text(caution)}</li>" for caution in words.CAUTIONS)
    yield "</ul>"
    licence = "Drawn with three.js, MIT licence; its notice stands in this file."
    yield f'<p class="quiet">{_text(stamp.which)}. {licence}</p>'


def _map(look: ToLookAt, verdict: Verdict) -> Iterator[str]:
    """Sliders for clock and place, the map to tap in, and what holds where the unit has been moved to."""
    there, unsettled = look.chart.allowed, words.open_still(verdict)
    if unsettled:
        yield f"<p><strong>{_text(unsettled)} No place in the map is settled before that.</strong></p>"
    yield from _stepped("clock", "motor points to", 'min="0" max="359.5" step="0.5"', ("anticlockwise", "clockwise"))
    span = f'min="{there.low_mm:.3f}" max="{there.high_mm:.3f}" step="0.5"'
    yield from _stepped("place", "input face", span, ("toward the wheel", "toward the rack"))
    best = "" if look.best is None else '<button type="button" id="best">to the best place</button>'
    yield f'<div class="row"><button type="button" id="own">back to the job\'s own place</button>{best}</div>'
    yield "<p>The map: across, the input face from the wheel's end to the rack's; down, where the motor points, seen "
    yield "from the seat. Tap in it: the unit goes to the nearest corner of a cell, where the page knows the nearest "
    yield "pair, its gap over the full travel of all pedals, and the place; - and + go one line of the map on. Between "
    yield "corners it says what is certified for the whole cell.</p>"
    yield '<div id="map-box"><svg id="map-head" aria-hidden="true"></svg>'
    yield '<svg id="map" role="img" aria-label="map of clock and place; use the two sliders or - '
    yield 'and + above to move in it"></svg></div>'
    said = (*tuple(LEVELS)[:2], kept(verdict))
    shades = [f'<span class="swatch {shade}"></span>{_text(word)}' for word, shade in zip(said, SHADES, strict=True)]
    yield f'<p class="quiet">{", ".join(shades)}; x: something hits. Square: the job\'s own place; ring: the best; '
    yield "cross: where the unit is now. Only what the unit and what turns with it may meet is in the map, boots on "
    yield "their pedals too; boots and legs off them are not. What is sure with the give or take of the readings is "
    yield "not worked out here: fitcheck clocking tells it.</p>"


def _stepped(key: str, said: str, span: str, ways: tuple[str, str]) -> Iterator[str]:
    """A slider between two buttons that go one line of the map back or on."""
    yield f'<div class="row"><label for="{key}">{said}</label>'
    yield f'<button type="button" id="{key}-less" aria-label="{said}: {ways[0]}">-</button>'
    yield f'<input type="range" id="{key}" {span}>'
    yield f'<button type="button" id="{key}-more" aria-label="{said}: {ways[1]}">+</button>'
    yield f'<output id="{key}-told" for="{key}"></output></div>'


def _row(entry: Judged, verdict: Verdict) -> str:
    closest, show = entry.found.closest, verdict.opened.job.job.show
    where = "" if closest is None else ", ".join(
        filter(None, (f"{closest.a_where} - {closest.b_where}", words.travel(closest.at_travel, verdict.scene, show),
                      words.sways(closest.at_movement), entry.pair.need.reason))
    )  # fmt: skip
    cells = (
        f"[{words.MARKS[entry.result]}] {_text(entry.result.value)}",
        f'<button type="button" class="pair">{_text(words.names(entry))}</button>',
        _text(together(said_gap(entry, verdict))),
        _text(together(words.need(entry.pair.need.required_mm, show))),
        _text(together(where)),
    )
    told = "".join(
        f'<td role="cell" data-title="{title}">{cell}</td>' for title, cell in zip(TITLES, cells, strict=True)
    )
    return f'<tr role="row">{told}</tr>'


def _chapters(verdict: Verdict) -> Iterator[str]:
    show = verdict.opened.job.job.show
    if verdict.readings is not None:
        yield _chapter("Readings", readings_rows(verdict.readings, show, UNBROKEN)[1:])
    if verdict.seen is not None:
        yield _chapter("As built", seen_rows(verdict.seen, verdict.opened.job, UNBROKEN))
    if verdict.boots is not None:
        yield _chapter("Boots", boots_rows(verdict.boots, verdict.scene, show, UNBROKEN))
    if verdict.reach is not None:
        yield _chapter("Reaching in", reach_rows(verdict.reach, show, UNBROKEN))
    if verdict.cuts is not None:
        yield _chapter("Cut list", [cuts_text(verdict.cuts, [], show, UNBROKEN)])
    if verdict.shaft is not None:
        first = look_only(verdict, UNBROKEN)
        shaft = shaft_text(verdict.shaft, verdict.shaft_gaps, first, show, verdict.proposal_gaps, UNBROKEN)
        yield _chapter("Intermediate shaft", [shaft])


def _chapter(title: str, lines: list[str]) -> str:
    told = markup("\n".join(lines))
    return f"<h2>{title}</h2>{told}"
