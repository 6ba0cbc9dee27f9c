"use strict";
// Asks for what has changed and puts it in place; marks the line a problem or a mark of the diagram speaks of.
(function () {
  const body = document.body;
  const byId = (id) => document.getElementById(id);
  let version = Number(body.dataset.version);
  let lines = JSON.parse(body.dataset.lines);
  let marked = null; // {id, key}: key names the problem that was followed, '' for a mark of the diagram
  let zoom = 1;
  const held = new Map();

  function follow(id, key, move) {
    for (const old of document.querySelectorAll("ol.lines li.marked")) {
      old.classList.remove("marked");
      old.removeAttribute("aria-current");
    }
    const line = byId(id);
    marked = line ? { id: id, key: key } : null;
    light(line ? id : "");
    if (!line) return;
    line.classList.add("marked");
    line.setAttribute("aria-current", "true");
    if (!move) return;
    line.scrollIntoView({ block: "center", inline: "start" });
    line.focus({ preventScroll: true });
  }

  function light(id) {
    for (const old of document.querySelectorAll(".picture-of .on")) old.classList.remove("on");
    for (const subject of Object.keys(lines)) {
      if (lines[subject] !== id) continue;
      for (const mark of document.querySelectorAll(".picture-of g")) {
        if (mark.dataset.subject === subject) mark.classList.add("on");
      }
    }
  }

  // A problem that is still there stays marked, wherever its line stands now.
  function again() {
    if (!marked) return;
    if (!marked.key) { follow(lines[marked.subject] || marked.id, "", false); return; }
    const link = [...document.querySelectorAll("a.jump")].find((one) => one.dataset.key === marked.key);
    if (link) follow(link.getAttribute("href").slice(1), marked.key, false);
    else { marked = null; light(""); }
  }

  function subjectOf(target) {
    const mark = target.closest ? target.closest(".picture-of [data-subject]") : null;
    return mark ? mark.dataset.subject : "";
  }

  function named(subject) {
    const at = subject.indexOf(":");
    const kind = subject.slice(0, at);
    return ["lead", "part", "lug", "cable", "channel", "region", "earth"].includes(kind)
      ? (kind === "region" ? "cavity" : kind) + " " + subject.slice(at + 1) : "";
  }

  document.addEventListener("click", (event) => {
    const link = event.target.closest("a.jump");
    if (link) {
      event.preventDefault();
      follow(link.getAttribute("href").slice(1), link.dataset.key, true);
      return;
    }
    const button = event.target.closest("button[data-zoom]");
    if (button) {
      const kind = button.dataset.zoom;
      zoom = kind === "fit" ? 1 : Math.min(6, Math.max(1, zoom * (kind === "larger" ? 1.3 : 1 / 1.3)));
      byId("wiring").style.setProperty("--zoom", zoom);
      return;
    }
    const id = lines[subjectOf(event.target)];
    if (id) follow(id, "", true);
  });

  document.addEventListener("pointerover", (event) => {
    const words = named(subjectOf(event.target));
    const caption = document.querySelector("#wiring .caption");
    if (words && caption) caption.textContent = words;
  });

  function place(id, markup) {
    const part = byId(id);
    if (!part || held.get(id) === markup) return;
    held.set(id, markup);
    const inside = part.querySelector(".scroll");
    const at = inside ? [inside.scrollLeft, inside.scrollTop] : [0, 0];
    const opened = part.querySelector("details[open]") !== null;
    // What holds the focus may go: then the part that took its place takes it.
    const focused = part.contains(document.activeElement);
    part.innerHTML = markup;
    const now = part.querySelector(".scroll");
    if (now) { now.scrollLeft = at[0]; now.scrollTop = at[1]; }
    const details = part.querySelector("details");
    if (details && opened) details.open = true;
    if (focused) { const next = part.querySelector(".scroll,a"); if (next) next.focus({ preventScroll: true }); }
  }

  function ended() {
    const status = byId("status");
    status.textContent = "The preview has ended: this page does not follow the file any more.";
    status.classList.add("ended");
    document.title = "ended: " + document.title;
  }

  async function ask() {
    let missed = 0;
    for (;;) {
      try {
        const answer = await fetch("next?have=" + version, { cache: "no-store", credentials: "omit" });
        if (!answer.ok) throw new Error("refused");
        const made = await answer.json();
        missed = 0;
        if (made.ended) { ended(); return; }
        if (made.version !== version) {
          version = made.version;
          lines = made.lines;
          for (const id of Object.keys(made.parts)) place(id, made.parts[id]);
          document.title = made.title;
          again();
        }
      } catch (fault) {
        missed += 1;
        if (missed > 3) { ended(); return; }
        await new Promise((done) => setTimeout(done, 700));
      }
    }
  }

  document.querySelector(".zoom").hidden = false;
  ask();
})();
