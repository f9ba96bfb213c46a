"use strict";
(function () {
  const data = JSON.parse(document.getElementById("data").textContent);
  const share = {};
  const unit = data.map.arcs.length ? { clock: data.map.own[0], place: data.map.own[1] } : null;
  const atHome = () => !unit || (Math.abs(unit.clock - data.map.own[0]) < 1e-9 && Math.abs(unit.place - data.map.own[1]) < 1e-9);
  let chosen = 0;
  const bytes = (text) => Uint8Array.from(atob(text), (sign) => sign.charCodeAt(0)).buffer;
  const by = (id) => document.getElementById(id);

  function between(x, xs, ys) {
    if (x <= xs[0]) return ys[0];
    for (let i = 1; i < xs.length; i += 1) {
      if (x <= xs[i]) return ys[i - 1] + ((ys[i] - ys[i - 1]) * (x - xs[i - 1])) / (xs[i] - xs[i - 1] || 1);
    }
    return ys[ys.length - 1];
  }
  // Lengths as everywhere: in an inch job to 1/32 in with mm beside. `way`: Math.floor for a gap, Math.ceil for a need.
  const HAIR = { floor: 1e-6, ceil: -1e-6, round: 1e-9 };
  const rounded = (x, way) => way(x + HAIR[way.name]);
  function inches(mm, way) {
    const count = rounded((Math.abs(mm) / 25.4) * 32, way);
    let part = count % 32, of = 32;
    while (part && part % 2 === 0) { part /= 2; of /= 2; }
    const whole = Math.floor(count / 32);
    return (mm < 0 && count ? "-" : "") + (part ? (whole ? whole + " " : "") + part + "/" + of : whole);
  }
  function long(mm, way, step = 10) {
    const plain = rounded(mm * step, way) / step + " mm";
    return data.show === "mm" ? plain : inches(mm, way) + " in (" + plain + ")";
  }
  // A number stays with its unit and a fraction with its whole: no line is broken between them.
  const together = (text) => text.replace(/(\d) (?=\d+\/\d+|(?:mm|in|deg|Nm)\b|%)/g, "$1\u00a0");
  const outside = (range, at) => Math.max(range[0] - at, at - range[1], 0);

  // ---- the mock-up -------------------------------------------------------
  const stage = by("stage");
  let draw = () => {};
  let shown = () => {};
  let inSight = () => {};
  let bare = false;
  function begin() {
    const renderer = new THREE.WebGLRenderer({ antialias: true });
    const scene = new THREE.Scene();
    scene.background = new THREE.Color(0xffffff);
    const camera = new THREE.PerspectiveCamera(35, 1, 1, 20000);
    const lamp = new THREE.DirectionalLight(0xffffff, 0.55);
    scene.add(lamp, new THREE.AmbientLight(0xffffff, 0.5));
    stage.appendChild(renderer.domElement);
    const pieces = data.solids.map((solid) => {
      const shape = new THREE.BufferGeometry();
      shape.setAttribute("position", new THREE.BufferAttribute(new Float32Array(bytes(solid.points)), 3));
      shape.computeVertexNormals();
      const skin = new THREE.MeshLambertMaterial({ color: solid.colour, side: THREE.DoubleSide });
      if (solid.faint) Object.assign(skin, { transparent: true, opacity: 0.18, depthWrite: false });
      const mesh = new THREE.Mesh(shape, skin);
      mesh.name = solid.name;
      mesh.matrixAutoUpdate = false;
      scene.add(mesh);
      return { solid, mesh };
    });
    const red = new THREE.MeshBasicMaterial({ color: 0xd55e00, depthTest: false, transparent: true });
    const ends = [0, 1].map(() => new THREE.Mesh(new THREE.SphereGeometry(6, 16, 12), red));
    const rod = new THREE.Mesh(new THREE.CylinderGeometry(2, 2, 1, 12), red);
    const line = new THREE.Group();
    line.add(...ends, rod);
    line.children.forEach((one) => { one.renderOrder = 9; });
    scene.add(line);
    const axis = new THREE.Vector3(...(data.map.axis || [0, 0, 1])), origin = new THREE.Vector3(...(data.map.point || [0, 0, 0]));
    const controls = new THREE.TrackballControls(camera, renderer.domElement);
    controls.staticMoving = true;
    camera.up.set(0, 1, 0);

    function place({ solid, mesh }) {
      if (solid.rides && unit) {
        const turn = new THREE.Matrix4().makeRotationAxis(axis, ((unit.clock - data.map.own[0]) * Math.PI) / 180);
        const slide = axis.clone().multiplyScalar(unit.place - data.map.own[1]).add(origin);
        mesh.matrix.makeTranslation(slide.x, slide.y, slide.z).multiply(turn)
          .multiply(new THREE.Matrix4().makeTranslation(-origin.x, -origin.y, -origin.z));
        mesh.matrixWorldNeedsUpdate = true;
      }
      if (!solid.pedal) { mesh.visible = !(solid.boot && bare); return; }
      const at = share[solid.pedal];
      const rivals = pieces.filter((one) => one.solid.name === solid.name).map((one) => one.solid.range);
      mesh.visible = outside(solid.range, at) <= Math.min(...rivals.map((range) => outside(range, at)))
        && !(solid.boot && bare);
      if (!solid.turn) return;
      const turn = new THREE.Matrix4().makeRotationAxis(
        new THREE.Vector3(...solid.turn.axis), between(at, solid.turn.shares, solid.turn.values));
      const there = new THREE.Matrix4().makeTranslation(...solid.turn.point);
      const back = new THREE.Matrix4().makeTranslation(...solid.turn.point.map((x) => -x));
      mesh.matrix.copy(there.multiply(turn).multiply(back));
      mesh.matrixWorldNeedsUpdate = true;
    }
    stage.mockUp = pieces;
    stage.camera = camera;
    // Which way is which: the two of the car's directions that lie most nearly in the picture, whichever way it is turned.
    const ways = [["driver's door", [data.door, 0, 0]], ["forward", [0, 0, -1]], ["up", [0, 1, 0]]];
    function compass() {
      const across = new THREE.Vector3().setFromMatrixColumn(camera.matrixWorld, 0);
      const rise = new THREE.Vector3().setFromMatrixColumn(camera.matrixWorld, 1);
      const seen = ways.map(([word, way]) => {
        const one = new THREE.Vector3(...way);
        return { word, x: one.dot(across), y: -one.dot(rise) };
      });
      seen.sort((a, b) => Math.hypot(b.x, b.y) - Math.hypot(a.x, a.y));
      by("compass").replaceChildren();
      seen.slice(0, 2).forEach(({ word, x, y }) => {
        const off = Math.hypot(x, y), [dx, dy] = [x / off, y / off], [tx, ty] = [34 * x, 34 * y];
        put("compass", "line", { x1: 0, y1: 0, x2: tx, y2: ty, class: "way" });
        put("compass", "path", { d: `M${tx + 7 * dx} ${ty + 7 * dy}L${tx - 4 * dy} ${ty + 4 * dx}L${tx + 4 * dy} ${ty - 4 * dx}Z` });
        const anchor = Math.abs(dx) < 0.4 ? "middle" : dx > 0 ? "start" : "end";
        put("compass", "text", { x: tx + 11 * dx, y: ty + (Math.abs(dx) < 0.4 ? 18 : 11) * dy + 4, "text-anchor": anchor }, word);
      });
    }
    draw = () => {
      pieces.forEach(place);
      compass();
      lamp.position.copy(camera.position);
      renderer.render(scene, camera);
    };
    shown = (ends_) => {
      line.visible = Boolean(ends_);
      stage.gapLine = ends_;
      if (!ends_) return;
      const [a, b] = ends_.map((point) => new THREE.Vector3(...point));
      ends[0].position.copy(a);
      ends[1].position.copy(b);
      const way = b.clone().sub(a);
      rod.position.copy(a).addScaledVector(way, 0.5);
      rod.scale.y = Math.max(way.length(), 0.01);
      rod.quaternion.setFromUnitVectors(new THREE.Vector3(0, 1, 0), way.normalize());
    };
    const fit = () => {
      const wide = stage.clientWidth, high = stage.clientHeight;
      camera.aspect = wide / high;
      camera.updateProjectionMatrix();
      renderer.setPixelRatio(window.devicePixelRatio);
      renderer.setSize(wide, high);
      controls.handleResize();
      draw();
    };
    // Stands so far off that all that matters is in the picture: unit, bracket, column, pedals, boots, the line drawn.
    let latest = null;
    const look = (way) => {
      latest = way;
      const away = new THREE.Vector3(...way).normalize(), points = [], at = new THREE.Vector3();
      pieces.forEach(place);
      pieces.filter((one) => one.solid.sight && one.mesh.visible).forEach(({ mesh }) => {
        const places_ = mesh.geometry.attributes.position;
        for (let i = 0; i < places_.count; i += 1) points.push(at.fromBufferAttribute(places_, i).applyMatrix4(mesh.matrix).clone());
      });
      (stage.gapLine || []).forEach((point) => points.push(new THREE.Vector3(...point)));
      if (!points.length) points.push(new THREE.Vector3());
      camera.up.set(0, Math.abs(away.y) > 0.9 ? 0 : 1, Math.abs(away.y) > 0.9 ? -1 : 0);
      const across = camera.up.clone().cross(away).normalize(), rise = away.clone().cross(across);
      const span = (along) => {
        const all = points.map((point) => point.dot(along));
        return all.reduce(([low, high], one) => [Math.min(low, one), Math.max(high, one)], [Infinity, -Infinity]);
      };
      const target = new THREE.Vector3();
      [across, rise, away].forEach((along) => target.addScaledVector(along, span(along).reduce((a, b) => (a + b) / 2)));
      const steep = Math.tan((camera.fov * Math.PI) / 360) / 1.08;
      const far = Math.max(100, ...points.map((point) => {
        const from = point.clone().sub(target);
        return from.dot(away) + Math.max(Math.abs(from.dot(rise)) / steep, Math.abs(from.dot(across)) / steep / camera.aspect);
      }));
      camera.position.copy(target).addScaledVector(away, far);
      controls.target.copy(target);
      controls.update();
      draw();
    };
    inSight = () => {
      camera.updateMatrixWorld();
      const hidden = (stage.gapLine || []).some((point) => {
        const seen = new THREE.Vector3(...point).project(camera);
        return Math.abs(seen.x) > 1 || Math.abs(seen.y) > 1;
      });
      if (hidden && latest) look(latest);
    };
    const views = { driver: [0, 0.35, 1], side: [-1, 0.15, 0.15], plan: [0, 1, 0], under: data.under };
    Object.keys(views).forEach((name) => by("view-" + name).addEventListener("click", () => look(views[name])));
    if (by("boots")) by("boots").addEventListener("click", () => {
      bare = !bare;
      by("boots").setAttribute("aria-pressed", bare);
      draw();
    });
    controls.addEventListener("change", draw);
    window.addEventListener("resize", fit);
    const turn = () => { requestAnimationFrame(turn); controls.update(); };
    fit();
    look(views.side);
    turn();
  }

  // ---- pedals, pairs, plot ------------------------------------------------
  function told(pedal) {
    const at = share[pedal.name];
    const chord = Math.abs(2 * pedal.radius * Math.sin((at * pedal.full) / 2));
    return Math.round(at * 100) + " % of travel, " + long(chord, Math.round, 2) + " at the pad" + (at < 0 ? ", pulled up" : "");
  }
  // Closest points are drawn only where they were worked out: at a stop of the travel, at a node of the map.
  const stopAt = (row) => {
    const pedal = data.pedals.find((one) => one.name === row.pedal);
    const i = pedal ? pedal.stops.findIndex((stop) => Math.abs(stop - share[pedal.name]) < 1e-6) : -1;
    return i < 0 ? null : row.stops[i] || null;
  };
  const posed = (at) => Object.keys(at).every((name) => Math.abs(share[name] - at[name]) < 1e-6);
  function ends() {
    const row = data.rows[chosen];
    if (!atHome()) {
      const node = nodeAt(unit.clock, unit.place);
      return node && node.line && posed(node.at) ? node.line : null;
    }
    if (!row) return null;
    if (row.line && posed(row.at)) return row.line;
    const stop = stopAt(row);
    return stop ? stop.line : null;
  }
  function worst() {
    const node = atHome() ? null : nodeAt(unit.clock, unit.place);
    if (atHome()) choose(chosen, true);
    else if (node && node.at) Object.assign(share, node.at);
    moved();
  }
  function moved() {
    data.pedals.forEach((pedal, i) => {
      by("pedal-" + i).value = share[pedal.name];
      by("pedal-" + i).setAttribute("aria-valuetext", told(pedal));
      by("told-" + i).textContent = together(told(pedal));
    });
    unitMoved();
    shown(ends());
    by("chosen").textContent = together(atHome() && data.rows[chosen] ? data.rows[chosen].said : "");
    plot();
    draw();
  }
  function choose(number, pose) {
    chosen = number;
    const row = data.rows[number];
    document.querySelectorAll("button.pair").forEach((button, i) => button.setAttribute("aria-pressed", i === number));
    if (pose) Object.keys(row.at).forEach((name) => { share[name] = row.at[name]; });
    moved();
    inSight();
  }
  function put(where, kind, attributes, words) {
    const one = document.createElementNS("http://www.w3.org/2000/svg", kind);
    Object.keys(attributes).forEach((key) => one.setAttribute(key, attributes[key]));
    if (words) one.textContent = words;
    by(where).appendChild(one);
    return one;
  }
  function nearStop(pedal, at) {
    const wide = (pedal.stops[pedal.stops.length - 1] - pedal.stops[0]) / (pedal.stops.length - 1);
    const stop = pedal.stops.find((one) => Math.abs(one - at) < wide / 4);
    return stop === undefined ? at : stop;
  }
  const mark = (kind, attributes, words) => put("plot", kind, attributes, words);

  // ---- the map: what is certified for a whole cell, never a number between ----
  // Across: places; down: clocks. Every cell as large as a finger needs, whatever it spans.
  const CELL = 26, LEFT = 44, TOP = 8, HEAD = 30, BETWEEN = 10;
  const places = [...new Set(data.map.arcs.flatMap((arc) => arc.places))].sort((a, b) => a - b);
  const rows = [];
  let wide = CELL, bottom = TOP;
  data.map.arcs.forEach((arc, k) => {
    const start = (i) => ((((arc.edges[i] - data.map.seam) % 360) + 360 + 1e-6) % 360);
    const order = arc.mm.map((_, i) => i);
    if (arc.edges[arc.edges.length - 1] - arc.edges[0] > 359.999) order.sort((a, b) => start(a) - start(b));
    bottom += k ? BETWEEN : 0;
    order.forEach((i) => { rows.push({ arc, i, y: bottom }); bottom += CELL; });
  });
  function mapX(place) {
    const after = places.findIndex((edge) => edge > place + 1e-9);
    const j = after < 0 ? places.length - 2 : Math.max(0, after - 1);
    return LEFT + wide * (j + (place - places[j]) / (places[j + 1] - places[j]));
  }
  function mapY(clock) {
    for (const { arc, i, y } of rows) {
      const off = ((((clock - arc.edges[i]) % 360) + 360 + 1e-9) % 360) - 1e-9, high = arc.edges[i + 1] - arc.edges[i];
      if (off <= high + 1e-9) return y + (CELL * off) / high;
    }
    return null;
  }
  const clockText = (clock) => {
    const minutes = Math.floor((((clock % 360) + 360) % 360) * 2 + 0.5);
    return (Math.floor(minutes / 60) % 12 || 12) + ":" + String(minutes % 60).padStart(2, "0");
  };
  function cellAt(clock, place) {
    for (const arc of data.map.arcs) {
      for (let i = 0; i + 1 < arc.edges.length; i += 1) {
        const off = (((clock - arc.edges[i]) % 360) + 360) % 360;
        const j = Math.min(arc.places.findIndex((edge) => edge > place) - 1, arc.places.length - 2);
        const last = j < 0 && Math.abs(place - arc.places[arc.places.length - 1]) < 1e-6 ? arc.places.length - 2 : j;
        if (off <= arc.edges[i + 1] - arc.edges[i] && last >= 0 && place >= arc.places[0]) return { arc, i, j: last };
      }
    }
    return null;
  }
  const turnBetween = (a, b) => ((((a - b) % 360) + 540) % 360) - 180;
  function nodeAt(clock, place) {
    for (const arc of data.map.arcs) {
      const i = arc.clocks.findIndex((one) => Math.abs(turnBetween(one, clock)) < 1e-9);
      const j = arc.places.findIndex((one) => Math.abs(one - place) < 1e-9);
      if (i >= 0 && j >= 0) return arc.nodes[i][j];
    }
    return null;
  }
  // A slider near a line of the map means that line; what is in between is left as it is.
  function nearLine(key, at) {
    const half = 0.26, lines = data.map.arcs.flatMap((arc) => (key === "clock" ? arc.clocks : arc.places));
    lines.push(...[data.map.own, data.map.best].filter(Boolean).map((one) => one[key === "clock" ? 0 : 1]));
    const off = (one) => Math.abs(key === "clock" ? turnBetween(one, at) : one - at);
    const nearest = lines.reduce((a, b) => (off(b) < off(a) ? b : a));
    const last = key === "place" && at > Number(by("place").max) - 0.5 ? 0.5 : half;
    return off(nearest) < last ? nearest : at;
  }
  function toNode(clock, place) {
    let best = null;
    data.map.arcs.forEach((arc) => arc.clocks.forEach((one) => {
      const off = Math.abs(turnBetween(one, clock));
      if (best === null || off < best.off) best = { off, clock: one, places: arc.places };
    }));
    unit.clock = best.clock;
    unit.place = best.places.reduce((a, b) => (Math.abs(b - place) < Math.abs(a - place) ? b : a));
    worst();
  }
  function cellSaid(cell) {
    if (!cell) return "Not allowed there by the job, or not looked at.";
    const mm = cell.arc.mm[cell.i][cell.j], pair = data.map.pairs[cell.arc.by[cell.i][cell.j]];
    const by = pair ? " Decided by " + pair + "." : "";
    if (cell.arc.hits[cell.i][cell.j]) return "Something hits here." + by;
    if (mm >= 0) return "All over this cell " + data.map.kept + ", with " +
      (cell.arc.most[cell.i][cell.j] ? "at least " : "") + long(mm, Math.floor) + " to spare (the readings' spread not counted)." + by;
    return "Not kept all over this cell: " + long(-mm, Math.ceil) + " short." + by;
  }
  function drawMap() {
    const box = by("map-box"), count = places.length - 1;
    wide = Math.max(CELL, Math.floor((box.clientWidth - LEFT - 31) / count));
    const right = LEFT + wide * count, size = { width: right + 30, height: bottom + 10 };
    Object.keys(size).forEach((key) => by("map").setAttribute(key, size[key]));
    by("map-head").setAttribute("width", size.width);
    by("map-head").setAttribute("height", HEAD);
    put("map-head", "text", { x: LEFT, y: 12 }, "wheel");
    put("map-head", "text", { x: (LEFT + right) / 2, y: 12, "text-anchor": "middle" }, "input face from hub seat, " + data.show);
    put("map-head", "text", { x: right, y: 12, "text-anchor": "end" }, "rack");
    let last = -100;
    places.forEach((place) => {
      if (mapX(place) - last < 64) return;
      last = mapX(place);
      const said = data.show === "in" ? inches(place, Math.round) : String(rounded(place * 10, Math.round) / 10);
      put("map-head", "text", { x: last, y: 26, "text-anchor": "middle" }, said);
    });
    // Half hours; a single step of the mounting, which has none, once, in its middle.
    const isHalf = (edge) => Math.abs(edge / 15 - Math.round(edge / 15)) < 1e-6;
    const label = (y, clock) => put("map", "text", { x: LEFT - 6, y: y + 4, "text-anchor": "end" }, clockText(clock));
    rows.forEach(({ arc, i, y }, n) => {
      const edges = arc.edges, many = edges.length - 1, first = !n || rows[n - 1].arc !== arc;
      if (isHalf(edges[i])) label(y, edges[i]);
      if (first && !edges.some(isHalf)) label(y + (CELL * many) / 2, (edges[0] + edges[many]) / 2);
      arc.mm[i].forEach((mm, j) => cellDrawn(arc, i, j, y, mm));
    });
    const own = mapY(data.map.own[0]), there = data.map.best ? mapY(data.map.best[0]) : null;
    if (there !== null) put("map", "circle", { cx: mapX(data.map.best[1]), cy: there, r: 6, class: "ring", "pointer-events": "none" });
    if (own !== null) put("map", "rect", { x: mapX(data.map.own[1]) - 6, y: own - 6, width: 12, height: 12, class: "own" });
  }
  function cellDrawn(arc, i, j, y, mm) {
    const x = mapX(arc.places[j]), far = mapX(arc.places[j + 1]) - x;
    const kind = arc.hits[i][j] ? "none" : mm >= 0 ? "kept" : mm >= -10 ? "short" : "none";
    const cell = put("map", "rect", { x, y, width: far, height: CELL, class: kind });
    cell.addEventListener("click", (event) => {
      const box = cell.getBoundingClientRect();
      const across = (event.clientX - box.left) / (box.width || 1), down = (event.clientY - box.top) / (box.height || 1);
      toNode(arc.edges[i] + down * (arc.edges[i + 1] - arc.edges[i]), arc.places[j] + across * (arc.places[j + 1] - arc.places[j]));
    });
    if (arc.hits[i][j]) put("map", "text", { x: x + far / 2, y: y + CELL / 2 + 4, "text-anchor": "middle", "pointer-events": "none" }, "x");
  }
  // One line of the map on, or back: clockwise or toward the rack is on.
  function step(key, way) {
    const clock = key === "clock", at = unit[key];
    const lines = data.map.arcs.flatMap((arc) => (clock ? arc.clocks : arc.places));
    const off = (one) => (clock ? turnBetween(one, at) : one - at) * way;
    const next = lines.filter((one) => off(one) > 1e-6).sort((a, b) => off(a) - off(b))[0];
    if (next === undefined) return;
    toNode(clock ? next : unit.clock, clock ? unit.place : next);
  }
  function unitMoved() {
    if (!unit) return;
    by("clock").value = unit.clock;
    by("place").value = unit.place;
    by("clock-told").textContent = clockText(unit.clock) + " seen from the seat (" + clockText(-unit.clock) + " lying under it)";
    by("place-told").textContent = together(long(unit.place, Math.round) + " down from the hub seat");
    by("clock").setAttribute("aria-valuetext", by("clock-told").textContent);
    by("place").setAttribute("aria-valuetext", by("place-told").textContent);
    const node = nodeAt(unit.clock, unit.place);
    by("moved").textContent = together(atHome()
      ? "The job's own place: " + (data.rows.length ? "worst is " + data.rows[0].said + "." : "nothing judged yet.")
      : (data.map.open ? data.map.open + " " : "") + (node ? node.said : cellSaid(cellAt(unit.clock, unit.place))) +
        " Table, plot, cut list and shaft below are for the job's own place.");
    document.querySelectorAll("#map .cross").forEach((one) => one.remove());
    const x = mapX(unit.place), y = mapY(unit.clock), box = by("map-box");
    if (y === null) return;
    put("map", "line", { x1: x - 9, x2: x + 9, y1: y, y2: y, class: "cross", "pointer-events": "none" });
    put("map", "line", { x1: x, x2: x, y1: y - 9, y2: y + 9, class: "cross", "pointer-events": "none" });
    if (y < box.scrollTop + CELL || y > box.scrollTop + box.clientHeight - CELL) box.scrollTop = y - box.clientHeight / 2;
    if (x < box.scrollLeft + CELL || x > box.scrollLeft + box.clientWidth - CELL) box.scrollLeft = x - box.clientWidth / 2;
  }
  function plot() {
    const row = data.rows[chosen];
    by("plot").replaceChildren();
    if (!row) return;
    by("plot-box").hidden = row.floors.length === 0 || !atHome();
    if (by("plot-box").hidden) return;
    const low = Math.min(...row.floors.map((f) => f[0])), high = Math.max(...row.floors.map((f) => f[1]));
    const top = Math.max(row.required * 2, ...row.floors.map((f) => Math.min(f[2], row.required * 6 + 20)));
    const x = (at) => 50 + (540 * (at - low)) / (high - low), y = (mm) => 190 - (170 * Math.min(Math.max(mm, 0), top)) / top;
    mark("line", { x1: 50, y1: 190, x2: 590, y2: 190, class: "axis" });
    mark("line", { x1: 50, y1: 20, x2: 50, y2: 190, class: "axis" });
    mark("line", { x1: 50, x2: 590, y1: y(row.required), y2: y(row.required), class: "need" });
    mark("text", { class: "label", x: 54, y: y(row.required) - 4 }, "required " + long(row.required, Math.ceil));
    row.floors.forEach((f) => mark("line", { x1: x(f[0]), x2: x(f[1]), y1: y(f[2]), y2: y(f[2]), class: "floor" }));
    mark("line", { x1: x(share[row.pedal]), x2: x(share[row.pedal]), y1: 20, y2: 190, class: "now" });
    const ticks = [0, 0.5, 1].concat([low, high].filter((at) => at < -0.12 || at > 1.12));
    ticks.forEach((at) => mark("text", { class: "label", x: x(at) - 10, y: 206 }, Math.round(at * 100) + " %"));
    mark("text", { class: "label", x: 4, y: 14 }, long(top, Math.round, 1));
    mark("text", { class: "label", x: 4, y: 194 }, "0");
    row.stops.forEach((stop, i) => {
      const pedal = data.pedals.find((one) => one.name === row.pedal);
      mark("circle", { cx: x(pedal.stops[i]), cy: y(stop.mm), r: 2.2, class: "stop" });
    });
    const at = share[row.pedal], stop = stopAt(row);
    const here = row.floors.filter((f) => f[0] <= at + 1e-6 && at <= f[1] + 1e-6);
    const least = here.length ? Math.min(...here.map((f) => f[2])) : null;
    const from = Math.round(Math.max(...here.map((f) => f[0])) * 100), to = Math.round(Math.min(...here.map((f) => f[1])) * 100);
    by("here").textContent = together(stop ? "At this travel they keep " + stop.said + "." : least === null ? "" :
      "From " + from + " % to " + to + " % of travel " +
      (least > 0 ? "they keep at least " + long(least, Math.floor) + "." : "they may meet."));
    if (stop && !stop.said.startsWith("at least")) by("here").textContent = together("At this travel they meet: " + stop.said + ".");
  }

  data.pedals.forEach((pedal, i) => {
    share[pedal.name] = 0;
    by("pedal-" + i).addEventListener("input", (event) => { share[pedal.name] = nearStop(pedal, Number(event.target.value)); moved(); });
  });
  document.querySelectorAll("button.pair").forEach((button, i) => button.addEventListener("click", () => choose(i, true)));
  by("worst").addEventListener("click", worst);
  try {
    begin();
  } catch (error) {
    stage.hidden = true;
    by("views").hidden = true;
    by("flat").hidden = false;
  }
  if (unit) {
    drawMap();
    by("clock").addEventListener("input", (event) => { unit.clock = nearLine("clock", Number(event.target.value)); moved(); });
    by("place").addEventListener("input", (event) => { unit.place = nearLine("place", Number(event.target.value)); moved(); });
    ["clock", "place"].forEach((key) => {
      by(key + "-less").addEventListener("click", () => step(key, -1));
      by(key + "-more").addEventListener("click", () => step(key, 1));
    });
    by("own").addEventListener("click", () => { [unit.clock, unit.place] = data.map.own; choose(chosen, true); });
    if (data.map.best) by("best").addEventListener("click", () => { [unit.clock, unit.place] = data.map.best; worst(); });
  }
  if (data.rows.length) choose(0, true); else unitMoved();
  document.body.dataset.ready = "yes";
})();
