"use strict";
// The moving machine, from the data in #frames and the drawing in #mechanism. `kept` is what stays as it is where one
// drawing takes the place of another: speed (rpm), share of the turn, playing, scale of arrows, window of the gap; and
// `before`, which tells the gap of another design at a speed.
const moveMachine = (kept = {}) => {
  const ending = new AbortController();
  const { signal } = ending;
  const data = JSON.parse(document.getElementById("frames").textContent);
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  const doubles = (text) => new Float64Array(bytes(text));
  const unpackLoad = (load) => ({ steady: doubles(load.steady), growing: doubles(load.growing) });
  const unpackPull = (pull) => ({ x: unpackLoad(pull.x), y: unpackLoad(pull.y) });
  const find = (id) => document.getElementById(id);
  const all = (words) => Array.from(find("mechanism").querySelectorAll(words));
  const floats = (text) => new Float32Array(bytes(text));
  const count = data.angles;
  const rpm = doubles(data.rpm);
  const yokes = data.yokes.map((yoke) => ({
    ...yoke, height: doubles(yoke.height), pinX: doubles(yoke.pin_x), pinY: doubles(yoke.pin_y),
    right: unpackPull(yoke.right), left: unpackPull(yoke.left),
  }));
  const shaking = { x: doubles(data.shaking.x), y: doubles(data.shaking.y) };
  const pairs = data.pairs.map((pair) => ({
    ...pair, gap: new Float32Array(bytes(pair.gap)), least: doubles(pair.least), angle: doubles(pair.angle), worst: doubles(pair.worst),
  }));
  const sides = Object.entries(data.sides).map(([number, [low, high]]) => ({
    low: floats(low), high: floats(high), parts: Array.from(document.querySelectorAll(`.side [data-side="${number}"]`)),
  }));
  const glass = document.querySelector(".glass .lens");
  const state = { place: Number(find("mechanism").dataset.place), speed: data.start, playing: false };
  if (kept.turn !== undefined) state.place = Math.round(kept.turn * count) % count;
  if (kept.rpm !== undefined) state.speed = rpm.reduce((best, each, n) => (Math.abs(each - kept.rpm) < Math.abs(rpm[best] - kept.rpm) ? n : best), 0);
  const signs = { right: 1, left: -1 };
  const MM = 1000;

  const omega = () => rpm[state.speed] * Math.PI / 30;
  // A load grows as in the core: what is there at rest, and what grows with the square of speed.
  const at = (load, square, place) => load.steady[place] + square * load.growing[place];
  const minus = (text) => text.replace("-", "\u2212");
  // As everywhere on the page: unit, factor from SI, decimals.
  const [unit, perMetre, decimals] = data.units.m;
  const [forceUnit, perForce] = data.units.N;
  const length = (metres) => `${minus((metres * perMetre).toFixed(decimals + 1))} ${unit}`;
  const said = (force) => (force < 1e-9 ? "0" : force < 0.01 ? force.toPrecision(2) : force.toPrecision(4));
  const newtons = (force) => `${said(force * perForce)} ${forceUnit}`;
  const nearest = pairs[data.nearest];

  function pinLoad(yoke, hand, place, square) {
    return [at(yoke[hand].x, square, place), at(yoke[hand].y, square, place)];
  }

  function shakingForce(place, square) {
    return [shaking.x[place] * square, shaking.y[place] * square];
  }

  function largestLoad(square) {
    let most = 0;
    for (let place = 0; place < count; place += 1) {
      most = Math.max(most, Math.hypot(...shakingForce(place, square)));
      for (const yoke of yokes) {
        for (const hand of Object.keys(signs)) most = Math.max(most, Math.hypot(...pinLoad(yoke, hand, place, square)));
      }
    }
    return most;
  }

  const topSquare = (rpm[rpm.length - 1] * Math.PI / 30) ** 2;
  const perNewton = kept.perNewton ?? Number(find("mechanism").dataset.arrow) / Math.max(largestLoad(topSquare), 1e-30);

  function svg(kind, settings, parent) {
    const made = document.createElementNS("http://www.w3.org/2000/svg", kind);
    for (const [key, value] of Object.entries(settings)) made.setAttribute(key, value);
    parent.appendChild(made);
    return made;
  }

  const layer = all(".arrows")[0];
  const arrowOf = (kind) => svg("line", { class: "force-" + kind, "marker-end": `url(#tip-${kind})` }, layer);
  const pinArrows = yokes.map(() => ({ right: arrowOf("pin"), left: arrowOf("pin") }));
  const shakingArrow = arrowOf("shaking");

  function setArrow(arrow, x, y, [fx, fy]) {
    const [dx, dy] = [fx * perNewton, -fy * perNewton];
    arrow.style.display = Math.hypot(dx, dy) < 0.8 ? "none" : "";
    for (const [key, value] of Object.entries({ x1: x, y1: y, x2: x + dx, y2: y + dy })) arrow.setAttribute(key, value.toFixed(3));
  }

  function drawMechanism() {
    const { place } = state;
    const square = omega() ** 2;
    const turned = 360 * place / count;
    for (const crank of all(".crank")) crank.setAttribute("transform", `rotate(${Number(crank.dataset.sign) * turned})`);
    yokes.forEach((yoke, number) => {
      const height = yoke.height[place] * MM;
      for (const group of all(".moving")) {
        if (group.dataset.yoke === yoke.name) group.setAttribute("transform", `translate(0 ${-height})`);
      }
      for (const rod of all("line[data-hand]")) if (rod.dataset.yoke === yoke.name) setRod(rod, yoke, height);
      for (const [hand, sign] of Object.entries(signs)) {
        setArrow(pinArrows[number][hand], sign * yoke.pinX[place] * MM, -yoke.pinY[place] * MM, pinLoad(yoke, hand, place, square));
      }
    });
    setArrow(shakingArrow, 0, 0, shakingForce(place, square));
    for (const side of sides) {
      const [low, high] = [side.low[place], side.high[place]];
      for (const part of side.parts) {
        if (part.tagName === "text") part.setAttribute("y", (1.2 - (low + high) / 2).toFixed(2));
        else { part.setAttribute("y", (-high).toFixed(2)); part.setAttribute("height", (high - low).toFixed(2)); }
      }
    }
  }

  // The lens shows the angle at which the gap is least at the chosen speed, whatever angle the machine stands at.
  function drawLens() {
    const shown = data.lens[state.speed];
    if (!glass || !shown) return;
    const [upper, lower, between, words, said] = shown;
    glass.querySelector(".upper").setAttribute("d", upper);
    glass.querySelector(".lower").setAttribute("d", lower);
    for (const part of glass.querySelectorAll(".overlap")) part.setAttribute("d", between || "M0,0");
    const number = glass.querySelector("text.gap");
    number.textContent = words;
    number.classList.toggle("touch", between !== "");
    glass.classList.toggle("meets", between !== "");
    glass.setAttribute("aria-label", `${words}. ${said}`);
    find("lens-words").textContent = said;
  }

  function setRod(rod, yoke, height) {
    const sign = signs[rod.dataset.hand];
    const ends = { x1: sign * yoke.pinX[state.place] * MM, y1: -yoke.pinY[state.place] * MM, x2: sign * yoke.pivot * MM, y2: -height };
    for (const [key, value] of Object.entries(ends)) rod.setAttribute(key, value.toFixed(4));
  }

  const readings = {};
  find("readings").replaceChildren();
  function addReading(key, words) {
    const row = find("readings").insertRow();
    const head = document.createElement("th");
    head.scope = "row";
    head.textContent = words;
    row.appendChild(head);
    readings[key] = document.createElement("output");
    readings[key].id = key;
    row.insertCell().appendChild(readings[key]);
  }

  function read(key, text, value, touching = false) {
    readings[key].textContent = text;
    readings[key].dataset.value = value;
    readings[key].classList.toggle("touch", touching);
  }

  pairs.forEach((pair, number) => {
    const name = pairs.length > 1 ? `, ${pair.name}` : "";
    addReading(`gap-${number}`, `gap at this angle${name}`);
    addReading(`least-${number}`, `least gap at this speed${name}`);
    addReading(`least-angle-${number}`, "\u2026 at crank angle");
    addReading(`worst-${number}`, "\u2026 with every play on the wrong side");
    addReading(`blame-${number}`, "\u2026 most of it goes to");
  });
  addReading("shaking", "shaking force at this angle");
  for (const yoke of yokes) for (const hand of Object.keys(signs)) addReading(`pin-${yoke.name}-${hand}`, `load on the ${hand} crankpin of ${yoke.name}`);

  function showReadings() {
    const square = omega() ** 2;
    const { place, speed } = state;
    pairs.forEach((pair, number) => {
      const here = pair.gap[speed * count + place];
      read(`gap-${number}`, length(here) + (here <= 0 ? ", they touch" : ""), here, here <= 0);
      read(`least-${number}`, length(pair.least[speed]) + (pair.least[speed] <= 0 ? ", they touch" : ""), pair.least[speed], pair.least[speed] <= 0);
      read(`least-angle-${number}`, (pair.angle[speed] * 180 / Math.PI).toFixed(1) + "\u00b0", pair.angle[speed]);
      read(`worst-${number}`, length(pair.worst[speed]), pair.worst[speed], pair.worst[speed] <= 0);
      read(`blame-${number}`, pair.items[pair.blame[speed]], pair.blame[speed]);
    });
    const force = Math.hypot(...shakingForce(place, square));
    read("shaking", newtons(force), force);
    for (const yoke of yokes) {
      for (const hand of Object.keys(signs)) {
        const load = Math.hypot(...pinLoad(yoke, hand, place, square));
        read(`pin-${yoke.name}-${hand}`, newtons(load), load);
      }
    }
  }

  // The gap over crank angle at the chosen speed, in a window that holds the tightest part at every speed.
  const FRAME = { left: 46, right: 328, top: 10, bottom: 126 };
  const course = find("course") && pairs.length ? makeCourse(pairs[0]) : null;

  function makeCourse(pair) {
    const lowest = Math.min(0, pair.worst.reduce((a, b) => Math.min(a, b)), pair.least.reduce((a, b) => Math.min(a, b)));
    const fits = kept.window && kept.window.low <= lowest;
    const { low, high } = fits ? kept.window : { low: lowest, high: Math.max(0.25e-3, 3 * pair.least[0] - 2 * lowest, -lowest / 2) };
    const y = (gap) => FRAME.bottom - (Math.min(gap, high) - low) / (high - low) * (FRAME.bottom - FRAME.top);
    const x = (place) => FRAME.left + place / count * (FRAME.right - FRAME.left);
    const parent = find("course");
    parent.replaceChildren();
    svg("rect", { x: FRAME.left, y: y(0), width: FRAME.right - FRAME.left, height: Math.max(0, FRAME.bottom - y(0)), class: "over" }, parent);
    svg("path", { d: `M${FRAME.left},${y(0)}H${FRAME.right}`, class: "touching" }, parent);
    svg("path", { d: `M${FRAME.left},${FRAME.top}V${FRAME.bottom}H${FRAME.right}`, class: "axis" }, parent);
    for (const degrees of [0, 90, 180, 270, 360]) {
      svg("text", { x: x(degrees / 360 * count), y: FRAME.bottom + 15, "text-anchor": "middle" }, parent).textContent = degrees + "\u00b0";
    }
    for (const gap of new Set([low, 0, high])) {
      if (gap === 0 && low < 0 && Math.min(y(low) - y(0), y(0) - y(high)) < 9) continue;
      svg("text", { x: FRAME.left - 4, y: y(gap) + 4, "text-anchor": "end" }, parent).textContent = minus((gap * perMetre).toFixed(decimals - 1));
    }
    svg("text", { x: FRAME.right, y: FRAME.bottom + 31, "text-anchor": "end" }, parent).textContent = "crank angle";
    svg("text", { x: 2, y: FRAME.bottom + 31 }, parent).textContent = `gap, ${unit}; below zero they touch`;
    const before = svg("path", { class: "curve before" }, parent);
    const line = svg("path", { class: "curve main" }, parent);
    const mark = svg("line", { class: "here", y1: FRAME.top, y2: FRAME.bottom }, parent);
    const dot = svg("circle", { r: 4, class: "here" }, parent);
    return { x, y, low, high, before, line, mark, dot };
  }

  // A curve over one turn, whatever the number of its angles.
  function curve(row) {
    const points = Array.from({ length: row.length + 1 }, (_, n) => `${course.x(n * count / row.length).toFixed(2)},${course.y(row[n % row.length]).toFixed(2)}`);
    return "M" + points.join("L");
  }

  function drawCourse() {
    if (!course) return;
    const row = nearest.gap.subarray(state.speed * count, (state.speed + 1) * count);
    course.line.setAttribute("d", curve(row));
    const before = kept.before?.(nearest.name, rpm[state.speed]);
    course.before.setAttribute("d", before ? curve(before) : "");
    course.dot.setAttribute("cx", course.x(state.place));
    course.dot.setAttribute("cy", course.y(row[state.place]));
    course.mark.setAttribute("x1", course.x(state.place));
    course.mark.setAttribute("x2", course.x(state.place));
    find("course-words").textContent = `${nearest.name} at ${rpm[state.speed].toFixed(0)} rpm${row.some((gap) => gap > course.high) ? `; gaps above ${(course.high * perMetre).toFixed(decimals - 1)} ${unit} are cut off` : ""}.`;
  }

  function show() {
    const now = rpm[state.speed];
    const [least, most] = data.range;
    const where = now < least - 0.5 ? " (below the speed range)" : now > most + 0.5 ? " (above the speed range)" : "";
    if (rpm.length > 1) find("speed").value = state.speed;
    find("angle").value = state.place;
    find("speed-read").textContent = `${now.toFixed(0)} rpm${where}`;
    find("speed").setAttribute("aria-valuetext", `${now.toFixed(0)} rpm`);
    find("angle-read").textContent = (360 * state.place / count).toFixed(1) + "\u00b0";
    find("angle").setAttribute("aria-valuetext", `${(360 * state.place / count).toFixed(1)} degrees`);
    drawMechanism();
    showReadings();
    drawCourse();
    drawLens();
  }

  function step(by) {
    state.place = (state.place + by + count) % count;
    show();
  }

  const TURN = 4000; // milliseconds
  const sense = Number(find("mechanism").dataset.sense); // -1 where crank angle falls as time goes on
  let last = 0;
  function tick(time) {
    if (!state.playing) return;
    const steps = Math.floor((time - last) / (TURN / count));
    if (steps > 0) {
      last = steps > count ? time : last + steps * TURN / count;
      step(sense * (steps % count));
    }
    requestAnimationFrame(tick);
  }

  function play(on) {
    state.playing = on;
    find("play").textContent = on ? "Pause" : "Play";
    last = performance.now();
    if (on) requestAnimationFrame(tick);
  }

  if (rpm.length > 1) find("speed").max = rpm.length - 1;
  find("angle").max = count - 1;
  const on = (name, kind, act) => find(name).addEventListener(kind, act, { signal });
  on("speed", "input", (event) => { state.speed = Math.min(Number(event.target.value), rpm.length - 1); show(); });
  on("angle", "input", (event) => { play(false); state.place = Number(event.target.value); show(); });
  on("play", "click", () => play(!state.playing));
  on("back", "click", () => { play(false); step(-1); });
  on("forward", "click", () => { play(false); step(1); });
  on("clashes", "click", ({ target }) => {
    if (target.dataset.turn === undefined) return;
    play(false);
    state.place = Math.round(Number(target.dataset.turn) * count) % count;
    const wanted = Number(target.dataset.rpm);
    if (target.dataset.rpm) state.speed = rpm.reduce((best, each, n) => (Math.abs(each - wanted) < Math.abs(rpm[best] - wanted) ? n : best), 0);
    show();
  });
  on("controls", "submit", (event) => event.preventDefault());
  const tip = unit === "in" ? 12.7 : 10; // millimetres of the drawing
  const stands = Number((tip / perNewton * perForce).toPrecision(2));
  find("arrow-scale").textContent = `${unit === "in" ? "1/2 in" : "10 mm"} stand for ${stands} ${forceUnit}`;
  find("controls").hidden = false;
  show();
  if (kept.playing) play(true);

  // On paper nothing can be unfolded, so what is printed at all is.
  let folded = [];
  window.addEventListener("beforeprint", () => {
    play(false);
    folded = Array.from(document.querySelectorAll("details.paper:not([open])"));
    for (const each of folded) each.open = true;
  }, { signal });
  window.addEventListener("afterprint", () => { for (const each of folded) each.open = false; }, { signal });

  return {
    // Stop, and tell what the next drawing is to keep.
    stop() {
      const { playing } = state;
      state.playing = false;
      ending.abort();
      return { rpm: rpm[state.speed], turn: state.place / count, playing, perNewton, window: course && { low: course.low, high: course.high } };
    },
    show,
    rpm: () => rpm[state.speed],
  };
};
if (document.getElementById("frames").textContent) moveMachine();
