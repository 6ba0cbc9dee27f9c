"use strict";
// Shows what was worked out before: position -> row -> outcome and lit path. Nothing is solved here.
(function () {
  const byId = (id) => document.getElementById(id);
  const known = JSON.parse(byId("data").textContent);
  const positions = new Map(known.positions.map((numbers, i) => [numbers.join("."), i]));
  const settings = new Map(known.settings.map((numbers, i) => [numbers.join("."), i]));
  const knobs = known.rest.length;
  const controls = known.words.length;
  const subjects = new Map();
  for (const mark of document.querySelectorAll("#diagram [data-subject]")) {
    const name = mark.dataset.subject;
    subjects.set(name, [...(subjects.get(name) || []), mark]);
  }

  const radios = (name) => [...document.querySelectorAll('input[name="' + name + '"]')];
  const picked = (name) => radios(name).findIndex((one) => one.checked);
  const pick = (name, at) => { const one = radios(name)[at]; if (one) one.checked = true; };

  function position() {
    if (known.chosen) return Math.max(0, picked("p"));
    const numbers = [];
    for (let i = 0; i < controls; i += 1) numbers.push(picked("c" + i));
    return positions.get(numbers.join("."));
  }

  function setting() {
    const numbers = [];
    for (let i = 0; i < knobs; i += 1) numbers.push(picked("k" + i));
    return settings.get(numbers.join("."));
  }

  function words() {
    const said = known.chosen ? [radios("p")[position()].nextElementSibling.textContent] : [];
    for (const group of document.querySelectorAll("#controls fieldset.control:not(.wide)")) {
      const on = group.querySelector("input:checked + label");
      said.push(group.querySelector("legend").textContent + " " + on.lastChild.textContent);
    }
    return said.join(" · ");
  }

  function shape(picture, at) {
    for (const mark of picture.querySelectorAll('[data-subject^="at:"]')) {
      mark.classList.toggle("on", mark.dataset.subject === "at:" + at);
    }
  }

  // A curve ends where it crosses the foot of the chart.
  function curve(name, levels) {
    const plot = known.plot;
    const tall = (plot.bottom - plot.top) / (plot.high - plot.low);
    const drawn = [];
    let before = null;
    levels.forEach((level, i) => {
      const at = [plot.left + i * plot.step, plot.bottom - (level / 10 - plot.low) * tall];
      const inside = at[1] <= plot.bottom;
      if (before && inside !== (before[1] <= plot.bottom)) {
        const share = (plot.bottom - before[1]) / (at[1] - before[1]);
        drawn.push([before[0] + share * (at[0] - before[0]), plot.bottom, inside]);
      }
      if (inside) drawn.push([...at, !before]);
      before = at;
    });
    const line = drawn.map(([x, y, begins]) => (begins ? "M" : "L") + x.toFixed(2) + " " + y.toFixed(2));
    document.querySelector('#chart [data-subject="curve:' + name + '"]').setAttribute("d", line.join(""));
  }

  function fact(name, text) {
    byId("f-" + name).textContent = text;
    const row = byId("d-" + name);
    if (row) row.hidden = !text;
  }

  function light(lit, coils) {
    const [leads, carrying, idle] = lit.map((names) => new Set(names));
    const sounding = new Set(Object.keys(coils).map((coil) => coil.split(".")[0]));
    for (const [subject, marks] of subjects) {
      const cut = subject.indexOf(":");
      const kind = subject.slice(0, cut);
      const name = subject.slice(cut + 1);
      const set = { lead: leads, band: leads, contact: carrying, sounds: sounding }[kind];
      if (!set) continue;
      for (const mark of marks) {
        mark.classList.toggle("on", set.has(name));
        if (kind === "contact") mark.classList.toggle("idle", idle.has(name));
      }
    }
    const tags = [...leads].join(", ");
    byId("diagram").setAttribute("aria-label", "Wiring diagram. " +
      (tags ? "Carrying the signal: leads " + tags + "." : "Nothing carries a signal."));
  }

  function sounding(coils) {
    for (const word of document.querySelectorAll("[data-coil]")) {
      word.textContent = { sounds: "sounds", weak: "faint" }[coils[word.dataset.coil]] || "silent";
      word.className = coils[word.dataset.coil] || "";
    }
    for (const mark of document.querySelectorAll('.pickup [data-subject^="coil:"]')) {
      const how = coils[mark.dataset.subject.slice(5)];
      mark.classList.toggle("sounds", how === "sounds");
      mark.classList.toggle("weak", how === "weak");
    }
  }

  function show() {
    const state = position();
    const row = known.rows[known.row[state]];
    const at = setting();
    const outcome = known.outcomes[row[2 * at]];
    const rest = known.outcomes[row[0]];
    known.positions[state].forEach((number, i) => {
      shape(document.querySelector('.picture[data-key="c' + i + '"]'), number);
      const word = byId("c" + i + "-word");
      if (word) word.textContent = known.words[i][number];
    });
    known.settings[at].forEach((number, i) => shape(document.querySelector('.picture[data-key="k' + i + '"]'), number));
    const set = words();
    byId("set").textContent = set;
    byId("says").textContent = outcome.says;
    for (const name of ["phase", "hum", "reads", "peak", "battery", "others", "why"]) fact(name, outcome[name]);
    sounding(outcome.coils);
    light(known.lights[row[2 * at + 1]], outcome.coils);
    curve("picked", outcome.curve);
    curve("rest", at ? rest.curve : []);
    byId("k-rest").hidden = !at;
    byId("chart").setAttribute("aria-label", outcome.curve.length
      ? "Response from 80 Hz to 20 kHz. " + (outcome.peak ? "Resonance " + outcome.peak + "." : "No resonance.")
      : "No response: silent.");
    byId("spoken").textContent = (set ? set + ". " : "") + outcome.spoken;
    remember( "#" + known.positions[state].join(".") + "-" + known.settings[at].join("."));
  }

  // The address names what is set, so that it can be kept or sent; a frame may forbid it.
  function remember(hash) {
    try { history.replaceState(null, "", hash); } catch (error) { /* then the address stays as it is */ }
  }

  // Where knobs are solved one at a time, turning one puts the others back.
  function turned(knob) {
    for (let i = 0; i < knobs; i += 1) if (i !== knob) pick("k" + i, known.rest[i]);
  }

  function atRest() {
    known.rest.forEach((at, i) => pick("k" + i, at));
    show();
  }

  function fromAddress() {
    const found = /^#([0-9.]*)-([0-9.]*)$/.exec(location.hash);
    const state = found ? positions.get(found[1]) : undefined;
    const at = found ? settings.get(found[2]) : undefined;
    if (state !== undefined) {
      if (known.chosen) pick("p", state);
      else known.positions[state].forEach((number, i) => pick("c" + i, number));
    }
    (at === undefined ? known.rest : known.settings[at]).forEach((number, i) => pick("k" + i, number));
    show();
  }

  document.documentElement.classList.add("played");
  byId("controls").hidden = false;
  byId("heard").hidden = false;
  document.querySelector("#all details").open = false;
  byId("controls").addEventListener("change", (event) => {
    const name = event.target.name || "";
    if (known.alone && name[0] === "k") turned(Number(name.slice(1)));
    show();
  });
  // A click on the picture moves the control on by one, for those who point.
  byId("controls").addEventListener("click", (event) => {
    const picture = event.target.closest(".picture");
    if (!picture) return;
    const all = radios(picture.dataset.key);
    if (!all.length) return;
    const next = all[(picked(picture.dataset.key) + 1) % all.length];
    next.click();
    next.focus();
  });
  if (byId("rest")) byId("rest").addEventListener("click", atRest);
  window.addEventListener("hashchange", fromAddress);
  fromAddress();
}());
