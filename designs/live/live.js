"use strict";
(() => {
  const find = (id) => document.getElementById(id);
  const minus = (text) => text.replace(/-(?=[\d.])/g, "\u2212");
  const bytes = (text) => Uint8Array.from(atob(text), (c) => c.charCodeAt(0)).buffer;
  const doubles = (text) => new Float64Array(bytes(text));
  const pathOf = (keys) => keys.join(".");

  function made(kind, settings = {}, ...inside) {
    const found = document.createElement(kind);
    for (const [key, value] of Object.entries(settings)) {
      if (key in found && key !== "list") found[key] = value;
      else found.setAttribute(key, value);
    }
    found.append(...inside);
    return found;
  }

  function svg(kind, settings, parent) {
    const found = document.createElementNS("http://www.w3.org/2000/svg", kind);
    for (const [key, value] of Object.entries(settings)) found.setAttribute(key, value);
    parent.appendChild(found);
    return found;
  }

  // What the page asks of the server, one thing after another; of several positions of one slider only the last is asked.

  const waiting = [];
  let asking = false;

  function ask(name, body = {}) {
    const last = waiting.at(-1);
    if (last && last.name === name && last.body.gesture && last.body.gesture === body.gesture) waiting.pop();
    return new Promise((done) => {
      waiting.push({ name, body, done });
      if (!asking) next();
    });
  }

  async function next() {
    const { name, body, done } = waiting.shift();
    asking = true;
    done(await answered(name, body));
    asking = false;
    if (waiting.length) next();
  }

  async function answered(name, body) {
    try {
      const answer = await fetch(name, { method: "POST", headers: { "content-type": "application/json" }, body: JSON.stringify(body) });
      const found = await answer.json();
      say(found.refused ?? "");
      return answer.ok;
    } catch {
      say("quietcrank does not answer. What is not saved is lost if it has ended; start it again and reload this page.");
      return false;
    }
  }

  let refused = "";
  let trouble = {};
  let complaints = [];
  let typed = null; // where the last change was made, which may be wrong for another entry
  let lost = [];
  let unread = false;

  function say(words) {
    refused = words;
    tellTrouble();
  }

  function tellTrouble() {
    const place = find("said");
    const every = [...complaints.map((each) => each.words), ...lost, ...Object.values(trouble)];
    const lead = unread ? "The file on disk cannot be read as it is; all figures are those of before." : "This cannot be taken as it stands; all figures are those of before.";
    place.replaceChildren();
    if (refused) place.append(made("p", {}, minus(refused)));
    if (complaints.length) place.append(made("p", { className: "lead" }, lead));
    if (every.length) place.append(made("ul", {}, ...every.map((each) => made("li", {}, each))));
    place.hidden = !refused && !every.length;
    document.querySelector(".whole").classList.toggle("stale", complaints.length > 0);
    find("before").hidden = !complaints.length;
  }

  // The machine

  let moving = null;
  let kept = {};
  let before = new Map();
  let lastFrames = "";
  let box = null;

  const defs = `<defs>
    <marker id="tip-shaking" viewBox="0 0 8 8" refX="6" refY="4" markerUnits="userSpaceOnUse" markerWidth="3.4" markerHeight="3.4" orient="auto"><path d="M0,0L8,4L0,8z" class="tip-shaking"/></marker>
    <marker id="tip-pin" viewBox="0 0 8 8" refX="6" refY="4" markerUnits="userSpaceOnUse" markerWidth="2.4" markerHeight="2.4" orient="auto"><path d="M0,0L8,4L0,8z" class="tip-pin"/></marker>
    <marker id="dot" viewBox="-2 -2 4 4" markerUnits="userSpaceOnUse" markerWidth="2.4" markerHeight="2.4"><circle r="1.4" class="dot"/></marker>
  </defs>`;

  function hold() {
    if (moving) kept = { ...kept, ...moving.stop() };
    moving = null;
  }

  // The view stays put while the machine still fits it and fills most of it.
  function fitted(wanted) {
    const fits = box && wanted[0] >= box[0] - 0.5 && wanted[1] >= box[1] - 0.5
      && wanted[0] + wanted[2] <= box[0] + box[2] + 0.5 && wanted[1] + wanted[3] <= box[1] + box[3] + 0.5;
    if (!fits || wanted[2] < 0.7 * box[2]) box = wanted;
    return box;
  }

  function draw(drawing) {
    hold();
    const place = find("mechanism");
    place.setAttribute("viewBox", fitted(drawing.box).map((each) => each.toFixed(2)).join(" "));
    for (const key of ["arrow", "place", "sense"]) place.dataset[key] = drawing[key];
    place.setAttribute("font-size", drawing.font);
    place.style.setProperty("--wide", box[2].toFixed(2));
    place.setAttribute("aria-label", drawing.words);
    place.innerHTML = defs + drawing.svg;
    find("side").innerHTML = drawing.side;
    find("drawn").hidden = !drawing.notes.length;
    find("drawn-notes").replaceChildren(...drawing.notes.map((each) => made("li", {}, each)));
  }

  function showClashes({ clashes, drawing }) {
    find("clashes").replaceChildren(...clashes.map(({ words, turn, rpm }) => {
      const line = made("li", {}, made("span", { className: "key clash" }), ` ${words} `);
      if (turn !== null) {
        const button = made("button", { type: "button" }, "Show");
        Object.assign(button.dataset, { turn, rpm: rpm ?? "" });
        line.append(button);
      }
      return line;
    }));
    find("clashes").hidden = !clashes.length;
    find("clashes").classList.remove("stale");
    if (!drawing) return;
    draw(drawing);
    if (lastFrames) moving = moveMachine({ ...kept, before: gapBefore });
  }

  function move(frames, whole, at) {
    hold();
    if (at !== undefined && kept.rpm === undefined) kept.rpm = at;
    lastFrames = frames;
    find("frames").textContent = JSON.stringify(frames);
    moving = moveMachine({ ...kept, before: gapBefore });
    if (!whole) return;
    const { window, rpm, perNewton } = moving.stop();
    kept = { ...kept, window, perNewton };
    moving = moveMachine({ ...kept, before: gapBefore });
  }

  function showLens(said) {
    if (said.lens === undefined) return;
    hold();
    find("lens").innerHTML = said.lens;
    if (lastFrames) moving = moveMachine({ ...kept, before: gapBefore });
    find("lens-words").textContent = said.lens_words;
  }

  function gapBefore(name, rpm) {
    const pair = before.get(name) ?? before.values().next().value; // in another design yokes may be called otherwise
    const place = pair ? pair.rpm.findIndex((each) => Math.abs(each - rpm) < 0.01) : -1;
    if (place < 0) return null;
    const count = pair.gap.length / pair.rpm.length;
    return pair.gap.subarray(place * count, (place + 1) * count);
  }

  function setBefore(found) {
    if (!found) before = new Map();
    for (const curve of found?.curves ?? []) {
      before.set(curve.name, { rpm: doubles(curve.rpm), gap: new Float32Array(bytes(curve.gap)) });
    }
    find("course-before").hidden = !found;
  }

  // The budget

  function showBudget({ budget, budget_words: words }) {
    find("budget").hidden = !budget;
    find("budget-picture").innerHTML = budget;
    find("budget-note").textContent = words;
  }

  // Limits

  const rows = new Map();
  let beside = new Map();
  let besideCalled = "as it was";
  const besideName = () => (find("beside").value || besideCalled);
  const chip = { FAIL: "fail", depends: "depends", "not checked": "unchecked", pass: "pass" };

  function headRows() {
    const head = ["", "what", "", "value", ...(beside.size ? [besideName()] : []), "limit", "worst at", "what to give or find out"];
    document.querySelector("table.every").tHead.replaceChildren(made("tr", {}, ...head.map((each, n) => made("th", { scope: "col", className: n > 2 && each !== head.at(-1) ? "number" : "" }, each))));
  }

  function cells(row, weighed) {
    const state = made("td", { className: weighed ? "state-word" : "state-word sofar" }, row.state);
    const value = made("td", { className: "number value" }, row.value);
    value.dataset.value = row.raw ?? "";
    const other = beside.get(row.place);
    const was = beside.size ? [made("td", { className: `number was${other && other.value !== row.value ? " differs" : ""}` }, other ? other.value : "\u2013")] : [];
    const bar = made("td", { className: "bar" });
    bar.innerHTML = row.bar;
    return [state, made("td", { className: "what" }, row.what), bar, value, ...was, made("td", { className: "number limit" }, row.limit), made("td", { className: "number at" }, row.at), made("td", { className: "words" }, row.words)];
  }

  function putRow(row, weighed) {
    const known = rows.get(row.place);
    const line = known?.line ?? made("tr", { id: `row-${row.place}` });
    line.dataset.state = row.state;
    line.className = chip[row.state];
    rows.set(row.place, { row, line, weighed });
    line.replaceChildren(...cells(row, weighed));
    return line;
  }

  function putRows(found, weighed) {
    const lines = found.map((row) => putRow(row, weighed));
    for (const place of [...rows.keys()]) if (!found.some((row) => row.place === place)) rows.delete(place);
    headRows();
    find("rows").replaceChildren(...lines);
  }

  function redrawRows() {
    headRows();
    for (const { row, weighed } of [...rows.values()]) putRow(row, weighed);
  }

  function showWord(word, weighed) {
    const place = find("word");
    const open = !weighed && word !== "FAILS";
    place.textContent = open ? `${word} so far` : word;
    place.className = `word ${word === "FAILS" ? "bad" : word === "PASSES" && weighed ? "good" : "open"}`;
    find("weighing").hidden = weighed;
    countRows();
  }

  function countRows() {
    const counts = { FAIL: 0, depends: 0, "not checked": 0, pass: 0 };
    for (const { row } of rows.values()) counts[row.state] += 1;
    const said = [`${counts.FAIL} fail`, ...(counts.depends ? [`${counts.depends} depend`] : []), `${counts["not checked"]} not checked`, `${counts.pass} hold`];
    const gap = rows.get("gap-0");
    const other = beside.get("gap-0");
    const was = other && gap && other.value !== gap.row.value ? ` (${besideName()} ${other.value})` : "";
    const least = gap ? `least gap ${gap.row.value}${was}` : "";
    find("word-more").textContent = minus([said.join(", "), least].filter(Boolean).join("; "));
  }

  // Entries

  const fields = new Map();
  let gestures = 0;

  function numberOf(text) {
    const parts = /^([+-]?)(?:(\d+) )?(\d+)\/(\d+)/.exec(text); // as inches are marked: 5/16, 1 1/4
    if (parts) return Number(`${parts[1]}1`) * (Number(parts[2] ?? 0) + Number(parts[3]) / Number(parts[4]));
    const found = /^[+-]?(\d+\.?\d*|\.\d+)(e[+-]?\d+)?/i.exec(text);
    return found ? Number(found[0]) : NaN;
  }

  function field(data, label) {
    const id = `f${gestures += 1}`;
    const input = data.words.length
      ? made("select", { id }, ...[...new Set([data.text, ...data.words])].map((each) => made("option", { value: each }, each)))
      : made("input", { id, type: "text", autocomplete: "off", spellcheck: false });
    const place = made("div", { className: "field" }, made("label", { htmlFor: id, title: data.meaning }, label.replaceAll(".", ".\u200b")), input);
    place.dataset.path = pathOf(data.keys);
    const was = made("span", { className: "was note" });
    const complaint = made("p", { className: "complaint", id: `${id}-wrong`, hidden: true });
    const one = { place, input, was, complaint, slide: null, data };
    const send = (text, gesture) => { typed = pathOf(data.keys); return ask("edit", { keys: data.keys, text, gesture }); };
    input.addEventListener("change", () => send(input.value));
    input.addEventListener("keydown", (event) => { if (event.key === "Escape") { input.value = one.data.text; input.blur(); } });
    if (data.slide) {
      one.slide = made("input", { type: "range", "aria-label": `${label}, slider` });
      let gesture = null;
      one.slide.addEventListener("input", () => {
        gesture ??= `s${gestures += 1}`;
        input.value = `${Number(one.slide.value).toFixed(one.data.slide[3])} ${one.data.unit}`.trim();
        send(input.value, gesture);
      });
      one.slide.addEventListener("change", () => { gesture = null; });
      place.append(one.slide);
    }
    if (!data.slide && !data.words.length) input.classList.add("alone");
    place.append(was, complaint);
    const path = pathOf(data.keys);
    fields.set(path, [...(fields.get(path) ?? []).filter((each) => each.place.isConnected), one]);
    update(one, data);
    return one;
  }

  function update(one, data) {
    one.data = data;
    const active = document.activeElement;
    if (active !== one.input || !one.complaint.hidden === false) one.input.value = data.text;
    one.place.classList.toggle("assumed", !data.given);
    one.place.classList.toggle("differs", data.was !== "" && data.was !== data.text);
    one.was.textContent = data.was !== "" && data.was !== data.text ? `was ${minus(data.was)}` : data.given ? "" : data.source;
    if (one.slide && data.slide && active !== one.slide) {
      const [low, high, step] = data.slide;
      Object.assign(one.slide, { min: low, max: high, step });
      one.slide.value = numberOf(data.text);
    }
    if (one.slide) one.slide.setAttribute("aria-valuetext", data.text);
  }

  let known = "";
  let every = [];

  function showFields(found) {
    every = found;
    const shape = found.map((each) => `${pathOf(each.keys)}:${each.words.length > 0}:${each.slide !== null}`).join("\n");
    if (shape !== known) {
      known = shape;
      groups(found);
      showMatter();
    } else {
      for (const data of found) for (const one of fields.get(pathOf(data.keys)) ?? []) update(one, data);
    }
    markComplaints();
  }

  function groups(found) {
    const open = new Set([...document.querySelectorAll("#groups details[open]")].map((each) => each.dataset.group));
    const byGroup = Map.groupBy ? Map.groupBy(found, (each) => each.keys[0]) : grouped(found);
    find("groups").replaceChildren(...[...byGroup].map(([name, inside]) => {
      const place = made("details", {}, made("summary", {}, name.replaceAll("_", " ")));
      place.dataset.group = name;
      place.open = open.has(name);
      const fill = () => {
        if (place.open && place.childElementCount === 1) place.append(inGroup(name, inside));
      };
      place.addEventListener("toggle", fill);
      fill();
      return place;
    }));
  }

  function grouped(found) {
    const byGroup = new Map();
    for (const each of found) byGroup.set(each.keys[0], [...(byGroup.get(each.keys[0]) ?? []), each]);
    return byGroup;
  }

  function inGroup(name, inside) {
    const now = new Map(every.map((each) => [pathOf(each.keys), each]));
    const places = inside.map((each) => field(now.get(pathOf(each.keys)) ?? each, pathOf(each.keys.slice(1)) || each.keys[0]));
    const given = places.filter((each) => each.data.given).map((each) => each.place);
    const others = places.filter((each) => !each.data.given).map((each) => each.place);
    const left = others.length ? [made("details", { className: "left-out", open: !given.length }, made("summary", {}, `${others.length} that the file leaves out`), ...others)] : [];
    return made("div", { className: "inside", tabIndex: 0, role: "region", "aria-label": `Entries of ${name.replaceAll("_", " ")}` }, ...given, ...left);
  }

  const STARTS = ["speed.rated", "speed.most", "cranks.centre_distance"];
  const MOST = 9;
  let matter = null;
  let advised = [];

  function showMatter() {
    const data = new Map(every.map((each) => [pathOf(each.keys), each]));
    const wanted = [...(matter ?? []), ...advised].filter((each) => data.has(each.path));
    const places = [...find("matter").children];
    // What is being worked on stays where it is under the hand.
    const staying = places.filter((each) => each.contains(document.activeElement) || each.classList.contains("differs"));
    const named = wanted.map(({ path, why }) => {
      const one = (fields.get(path) ?? []).find((each) => each.place.parentNode === find("matter")) ?? field(data.get(path), path);
      if (!one.place.querySelector(".why")) one.place.append(made("p", { className: "why note" }));
      one.place.querySelector(".why").textContent = minus(why);
      return one.place;
    });
    const shown = matter === null ? STARTS.filter((path) => data.has(path)).map((path) => field(data.get(path), path).place) : named;
    if (matter !== null && !named.length && !staying.length) find("matter-note").textContent = "No entry was found that a small step would gain by.";
    const kept = staying.filter((each) => data.has(each.dataset.path) && !shown.includes(each));
    const wantedPlaces = [...shown, ...kept];
    if (wantedPlaces.length !== places.length || wantedPlaces.some((each, n) => each !== places[n])) {
      const focused = document.activeElement;
      find("matter").replaceChildren(...wantedPlaces);
      if (focused !== document.body && focused.isConnected) focused.focus();
    }
  }

  function markComplaints() {
    for (const several of fields.values()) {
      for (const one of several) {
        const own = complaints.filter((each) => one.data.keys.every((key, n) => each.keys[n] === key));
        const here = own.length || pathOf(one.data.keys) !== typed ? own : complaints;
        one.complaint.hidden = !here.length;
        one.complaint.textContent = here.map((each) => each.words).join(" ");
        one.input.toggleAttribute("aria-invalid", here.length > 0);
        if (here.length) one.input.setAttribute("aria-describedby", one.complaint.id);
        else one.input.removeAttribute("aria-describedby");
      }
    }
  }

  find("filter").addEventListener("input", (event) => {
    const wanted = event.target.value.trim().toLowerCase();
    for (const group of document.querySelectorAll("#groups > details")) {
      const inside = every.filter((each) => each.keys[0] === group.dataset.group);
      const any = wanted && inside.some((each) => hit(each, wanted));
      group.hidden = Boolean(wanted) && !any;
      group.open = Boolean(any);
      if (any && group.childElementCount === 1) group.append(inGroup(group.dataset.group, inside));
      for (const inner of group.querySelectorAll(".left-out")) inner.open = Boolean(any);
      for (const place of group.querySelectorAll(".field")) {
        place.hidden = Boolean(wanted) && !hit(every.find((each) => pathOf(each.keys) === place.dataset.path), wanted);
      }
    }
  });

  function hit(data, wanted) {
    return `${pathOf(data.keys)} ${data.keys.join(" ").replaceAll("_", " ")} ${data.meaning}`.toLowerCase().includes(wanted);
  }

  // Advice

  function showAdvice({ lines, left, trouble: wrong }) {
    const said = wrong ?? (lines.length ? "Each line was tried with those before it." : "Nothing fails, so nothing has to change.");
    const rest = lines.length ? (left.length ? ` Then still fails or depends on what is not known: ${left.join(", ")}.` : " With these every limit that could be checked holds.") : "";
    find("advice-note").textContent = said + rest;
    find("advice-lines").replaceChildren(...(lines ?? []).map((line, number) => {
      const button = made("button", { type: "button" }, number ? `Take 1 to ${number + 1}` : "Take it");
      button.addEventListener("click", () => { button.disabled = true; ask("take", { number }); });
      return made("li", {}, minus(line.words.replaceAll("`", "")), " ", button);
    }));
  }

  // The entries that the advice would change, besides those that are named already.
  function addAdvised(lines) {
    const named = new Set((matter ?? []).map((each) => each.path));
    advised = [];
    for (const [number, line] of lines.entries()) {
      for (const entry of line.entries) {
        const path = pathOf(entry.keys);
        if (!named.has(path) && named.size < MOST) advised.push({ path, why: `changed by line ${number + 1} of the advice, to ${entry.text}` });
        named.add(path);
      }
    }
    showMatter();
  }

  function adviceUnderWay() {
    find("advice-note").textContent = "What helps most is being tried \u2026";
    find("advice-lines").replaceChildren();
  }

  // What the server tells

  let version = -1;
  let shownState = {};

  const tells = {
    moved(said) {
      if (said.trouble) return;
      draw(said.drawing);
      find("clashes").classList.add("stale");
      setBefore(said.before);
      move(said.frames, false, said.rpm);
      showBudget(said);
      for (const row of said.rows) putKnown(row);
      document.body.dataset.moved = said.version;
    },
    state(said) {
      complaints = said.complaints;
      lost = said.lost;
      unread = said.unread;
      shownState = said;
      find("title").textContent = said.title;
      find("undo").disabled = !said.undo;
      find("redo").disabled = !said.redo;
      find("save").disabled = said.saved;
      find("saved").textContent = said.saved ? "saved" : said.changed === 1 ? "1 entry not saved" : said.changed ? `${said.changed} entries not saved` : "not saved";
      find("keep").querySelector("button").disabled = !said.changed;
      const choices = said.choices.map((each) => made("option", { value: each }, each));
      find("beside").replaceChildren(...choices);
      find("beside").value = said.beside;
      for (const each of document.querySelectorAll(".beside-name")) each.textContent = said.beside;
      tellTrouble();
      markComplaints();
      document.body.dataset.state = said.version;
    },
    gap(said) {
      for (const row of said.rows ?? []) putKnown(row);
      showLens(said);
      countRows();
      document.body.dataset.gap = said.version;
    },
    fields(said) { if (said.fields) showFields(said.fields); document.body.dataset.fields = said.version; },
    rows(said) {
      if (said.trouble) return;
      putRows(said.rows, said.weighed);
      showWord(said.word, said.weighed);
      if (said.clashes) showClashes(said);
      document.body.dataset.rows = said.version;
    },
    frames(said) {
      if (said.trouble) return;
      setBefore(said.before);
      move(said.frames, true);
      find("speed-ticks").replaceChildren(...said.ticks.map(([at, words]) => {
        const tick = made("span", { className: at > 0.85 ? "end" : at < 0.15 ? "start" : "" }, words);
        tick.style.left = `${(100 * at).toFixed(2)}%`;
        return tick;
      }));
      document.body.dataset.frames = said.version;
    },
    pictures(said) {
      if (said.gap_speed) find("gap-speed").innerHTML = said.gap_speed;
      document.body.dataset.pictures = said.version;
    },
    look(said) {
      if (said.trouble) return;
      setBefore(said.before ? said.before : before.size ? { curves: [] } : null);
      showBudget(said);
      showLens(said);
      moving?.show();
    },
    "beside"(said) {
      beside = new Map((said.rows ?? []).map((each) => [each.place, each]));
      find("beside-note").textContent = said.trouble ?? (said.word ? `${said.word.toLowerCase()}: ${said.counts.FAIL} fail, ${said.counts.depends} depend, ${said.counts["not checked"]} not checked, ${said.counts.pass} hold.` : "It is the same design.");
      redrawRows();
      countRows();
    },
    verdict(said) {
      if (said.trouble) return;
      putRows(said.rows, true);
      showWord(said.word, true);
      find("lines").replaceChildren(...said.lines.map((each) => made("p", {}, each)));
      find("lines").classList.remove("stale");
      document.body.dataset.verdict = said.version;
    },
    matter(said) {
      if (said.trouble) return;
      matter = said.entries;
      if (matter.length) find("matter-note").textContent = "By what a small step does to the least gap, and by what would settle limits that depend.";
      showMatter();
      document.body.dataset.matter = said.version;
    },
    advice(said) {
      showAdvice({ lines: [], left: [], ...said });
      addAdvised(said.lines ?? []);
      document.body.dataset.advice = said.version;
    },
    end() {
      news.close();
      say("quietcrank has ended. What was not saved is lost; start it again to go on.");
    },
  };

  function putKnown(row) {
    if (rows.has(row.place)) putRow(row, false);
  }

  const news = new EventSource("news");
  news.addEventListener("message", (event) => {
    const said = JSON.parse(event.data);
    if (said.version !== undefined && said.version !== version) {
      version = said.version;
      trouble = {};
      find("lines").classList.add("stale");
      adviceUnderWay();
    }
    if (said.trouble) trouble[said.trouble] = said.trouble;
    tells[said.kind]?.(said);
    tellTrouble();
  });

  // What a person does

  find("undo").addEventListener("click", () => ask("undo"));
  find("redo").addEventListener("click", () => ask("redo"));
  find("save").addEventListener("click", () => ask("save"));
  find("beside").addEventListener("change", (event) => ask("look", { beside: event.target.value }));
  find("keep").addEventListener("submit", async (event) => {
    event.preventDefault();
    if (await ask("keep", { name: find("keep-name").value })) find("keep-name").value = "";
  });
  let turning = null;
  find("speed").addEventListener("input", () => {
    turning ??= `v${gestures += 1}`;
    if (moving) ask("look", { rpm: moving.rpm(), gesture: turning });
  });
  find("speed").addEventListener("change", () => { turning = null; });
  document.addEventListener("keydown", (event) => {
    const typing = event.target.matches?.("input[type=text], input[type=search], #keep-name");
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const act = key === "s" ? "save" : typing ? null : key === "z" ? (event.shiftKey ? "redo" : "undo") : key === "y" ? "redo" : null;
    if (!act) return;
    event.preventDefault();
    if (act === "save" && typing) event.target.blur();
    if (act !== "save" || !shownState.saved || typing) ask(act);
  });
  window.addEventListener("beforeunload", (event) => { if (shownState.saved === false) event.preventDefault(); });
})();
