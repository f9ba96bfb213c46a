"""A page opened in a browser, and what its mock-up shows there."""

import itertools
from pathlib import Path
from typing import Any

import numpy as np

from fitcheck.report.lines import TOGETHER
from fitcheck.report.pictures.camera import AIMS, Camera

BOXES = """() => {
    const found = {};
    for (const { solid, mesh } of document.getElementById('stage').mockUp) {
        const box = new THREE.Box3(), points = mesh.geometry.attributes.position;
        for (let i = 0; i < points.count; i += 1) {
            box.expandByPoint(new THREE.Vector3().fromBufferAttribute(points, i).applyMatrix4(mesh.matrix));
        }
        found[solid.name] = [box.min.toArray(), box.max.toArray()];
    }
    return found;
}"""


SEEN = """(points) => points.map((point) => {
    const at = new THREE.Vector3(...point).project(document.getElementById('stage').camera);
    return [at.x, at.y];
})"""


class Opened:
    """A page opened from disk, with all that it said and asked for."""

    def __init__(self, browser: Any, folder: Path, html: str, size: dict[str, int], first: str = "") -> None:
        file = folder / "page.html"
        file.write_text(html, encoding="utf-8")
        self.tab = browser.new_page(viewport=size)
        self.said: list[str] = []
        self.asked: list[str] = []
        self.tab.on("console", lambda line: self.said.append(line.text) if line.type == "error" else None)
        self.tab.on("pageerror", lambda error: self.said.append(str(error)))
        self.tab.on("request", lambda request: self.asked.append(request.url))
        if first:
            self.tab.add_init_script(first)
        self.tab.goto(file.as_uri())
        self.tab.wait_for_selector("body[data-ready]", timeout=60_000)
        self.file = file.as_uri()

    def text(self, what: str) -> str:
        """What is read there, each space that no line is broken at as a plain one."""
        return str(self.tab.inner_text(what)).replace(TOGETHER, " ")


def shows_all_of_it(opened: Opened) -> None:
    """Unit, column and clutch stand in the picture and fill it; of their boxes the corners stand out a little."""
    boxes = opened.tab.evaluate(BOXES)
    corners = [[boxes[name][k][n] for n, k in enumerate(which)]
               for name in ("unit", "column", "clutch") for which in itertools.product((0, 1), repeat=3)]  # fmt: skip
    seen = np.array(opened.tab.evaluate(SEEN, corners))
    assert (np.abs(seen) <= 1.35).all()
    assert np.ptp(seen, axis=0).max() > 0.9


def lying_under_it(opened: Opened) -> None:
    """Forward is up, and what the seat sees at 9 stands at 3: as in the picture from there and on the clock."""
    axes = np.array([[0.0, 0, 0], [0, 0, -50], [-50, 0, 0], [0, 50, 0]])  # forward, the driver's left, up
    start, *ends = np.array(opened.tab.evaluate(SEEN, axes.tolist()))
    forward, left, up = (end - start for end in ends)
    assert forward[1] > 2 * abs(forward[0]) and up[1] > 0 and left[0] > 2 * abs(left[1])
    camera = Camera.fitted(AIMS["under-dash"], np.array([[0.0, 0, 0], [300, 200, 300]]), 900, 900)
    assert camera.seen(np.array([-1.0, 0, 0]))[1] < 0 < camera.seen(np.array([0, -1.0, 0]))[0]
    said = opened.tab.evaluate("[...document.querySelectorAll('#compass text')].map((one) => one.textContent)")
    assert sorted(said) == ["driver's door", "forward"]
