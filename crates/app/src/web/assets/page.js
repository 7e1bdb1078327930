// What pages do in the browser. The server makes every page; this fetches one again when something changed and puts the parts of it
// that are alive in place of the old ones. Without it every link and every form works by itself.

const body = document.body;
const byId = (id) => document.getElementById(id);

// ---- A line for the person: what goes on, what went wrong.

let lineTimer = 0;
function say(text, keep) {
  const line = byId("line");
  if (!line) return;
  clearTimeout(lineTimer);
  delete line.dataset.state;
  line.textContent = text;
  line.hidden = text === "";
  if (text !== "" && !keep) lineTimer = setTimeout(() => say(""), 6000);
}

// How the connection stands. Nobody asked where the page tried by itself: then what the person was told stays.
function sayState(text, asked) {
  const line = byId("line");
  if (!line || (!asked && !line.hidden && !("state" in line.dataset))) return;
  say(text, true);
  line.dataset.state = "";
}

// ---- Parts of the page that are alive.

const typing = (e) => e instanceof HTMLElement && e.matches("input:not([type=checkbox]):not([type=hidden]), textarea, select");

// What is the same to a person: a form's token is another each time, a countdown runs, a list was opened by hand.
function sameToSee(a, b) {
  const [x, y] = [a, b].map((e) => {
    const plain = e.cloneNode(true);
    for (const t of plain.querySelectorAll("input[name=token]")) t.setAttribute("value", "");
    for (const d of plain.querySelectorAll("[data-due]")) {
      d.textContent = "";
      d.removeAttribute("class");
    }
    for (const d of plain.querySelectorAll("details")) d.removeAttribute("open");
    return plain;
  });
  return x.isEqualNode(y);
}

// What was refused stays as it was typed until it is sent again; the answer to a press as long as only others write. `sent`: the
// form whose answer the page is.
function keepRefused(now, next, sent) {
  const refused = sent ? "[aria-invalid=true]" : "[aria-invalid=true], .wrong";
  for (const form of now.querySelectorAll("form")) {
    if (!form.querySelector(refused) || (sent && aboutOf(form) === aboutOf(sent))) continue;
    const same = [...next.querySelectorAll("form")].find((f) => aboutOf(f) === aboutOf(form));
    // With the revision that the person saw: who changed the same meanwhile is told of, not written over.
    if (same) same.replaceWith(next.ownerDocument.importNode(form, true));
  }
}

// What is being pressed is not changed under the finger: a press that begins on one button and ends on another is none.
let pressed = 0;
const LONG_PRESS_MS = 5000;
// A finger's press arrives a little after it is up.
const CLICK_MS = 60;
addEventListener(
  "pointerdown",
  (e) => {
    if (e.target instanceof Element && e.target.closest("button, a, summary, label") && !e.target.closest("#drawing")) pressed = Date.now() + LONG_PRESS_MS;
  },
  true,
);
for (const up of ["pointerup", "pointercancel"]) addEventListener(up, () => (pressed = Math.min(pressed, Date.now() + CLICK_MS)), true);
async function released() {
  while (Date.now() < pressed) await new Promise((done) => setTimeout(done, CLICK_MS / 2));
}

// `sent`: the form whose answer the page is, if it is one.
function take(page, sent) {
  for (const now of document.querySelectorAll("[data-live][id]")) {
    const next = page.getElementById(now.id);
    if (next) keepRefused(now, next, sent);
    // What is the same stays, or a button would go from under a finger.
    if (!next || sameToSee(now, next)) continue;
    const at = document.activeElement;
    const inside = at && now.contains(at);
    // Nothing that is being typed is taken away.
    if (inside && typing(at)) continue;
    if (now.id === "drawing" && held) continue;
    const open = new Set([...now.querySelectorAll("details[open] > summary")].map((s) => s.textContent));
    const typed = [...now.querySelectorAll("input[name], textarea[name]")].filter((f) => f.type !== "hidden" && f.type !== "file" && f.value !== f.defaultValue);
    const mark = inside ? at.id || at.getAttribute("href") || at.textContent : "";
    const fresh = document.importNode(next, true);
    now.replaceWith(fresh);
    for (const s of fresh.querySelectorAll("details > summary")) if (open.has(s.textContent)) s.parentElement.open = true;
    for (const f of typed) {
      const form = f.form && f.form.getAttribute("action");
      const same = [...fresh.querySelectorAll("input[name], textarea[name]")].find((g) => g.name === f.name && (g.form && g.form.getAttribute("action")) === form && g.dataset.of === f.dataset.of);
      if (same) same.value = f.value;
    }
    if (mark) {
      const again = [...fresh.querySelectorAll("a, button, summary, [tabindex]")].find((e) => e.id === mark || e.getAttribute("href") === mark || e.textContent === mark);
      if (again) again.focus({ preventScroll: true });
      else if (fresh.id === mark) fresh.focus({ preventScroll: true });
    }
  }
  document.title = page.title || document.title;
  alerted(page.getElementById("alerts"));
  setClock(page);
  tick();
}

async function shown(answer) {
  const url = new URL(answer.url);
  if (url.pathname === "/join" && location.pathname !== "/join") {
    location.assign("/join");
    return null;
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  // Another page than this one, or one that only says what is wrong: show it as a whole.
  const ours = [...document.querySelectorAll("[data-live][id]")].some((e) => page.getElementById(e.id));
  if (!ours) {
    const wrong = page.querySelector("main p");
    if (!answer.ok) say(wrong ? wrong.textContent : "That was not done.", true);
    else location.assign(answer.url);
    return null;
  }
  return page;
}

const html = { headers: { Accept: "text/html" }, credentials: "same-origin" };

// What was asked for last, so that an answer to something earlier is not taken for it.
let latest = 0;
let wanted = null;

async function look(address, history_) {
  const turn = ++latest;
  if (history_) wanted = { address, history_ };
  try {
    const answer = await fetch(address, html);
    if (turn !== latest) return;
    const page = await shown(answer);
    if (!history_) await released();
    if (turn !== latest) return;
    wanted = null;
    if (!page) return;
    if (history_ === "push") history.pushState(null, "", address);
    if (history_ === "replace") history.replaceState(null, "", address);
    take(page);
  } catch {
    sayState("No connection. What is shown may be old.", history_);
  }
}

// At once, then not more often than this: thirty phones that each write are no reason to fetch a page thirty times a second.
const REST_MS = 500;
let again = 0;
let looking = false;
let missed = false;
function refresh() {
  if (looking) {
    missed = true;
    return;
  }
  clearTimeout(again);
  again = setTimeout(async () => {
    looking = true;
    missed = false;
    const rest = new Promise((done) => setTimeout(done, REST_MS));
    await (wanted ? look(wanted.address, wanted.history_) : look(location.href));
    await rest;
    looking = false;
    if (missed) refresh();
  }, 30);
}

addEventListener("popstate", () => {
  wanted = null;
  look(location.href);
});

// ---- Links and forms that change the page in place.

addEventListener("click", (e) => {
  const a = e.target instanceof Element && e.target.closest("a[data-in-place]");
  if (!a || e.button !== 0 || e.ctrlKey || e.metaKey || e.shiftKey || e.altKey) return;
  e.preventDefault();
  look(a.href, "push");
});

function ask(form) {
  const address = new URL(form.action, location.href);
  address.search = new URLSearchParams([...new FormData(form)].filter(([, v]) => v !== "")).toString();
  look(address.href, "replace");
}

let asking = 0;
addEventListener("input", (e) => {
  const form = e.target instanceof Element && e.target.closest("form[method=get][data-in-place]");
  if (!form) return;
  if (e.target.type === "range") {
    const v = Number(e.target.value);
    const out = e.target.nextElementSibling;
    const side = v < 0 ? e.target.dataset.low : v > 0 ? e.target.dataset.high : "";
    const { unit, low } = e.target.dataset;
    if (out) out.textContent = unit ? `${low ? e.target.value.replace("-", "") : e.target.value} ${unit} ${side}` : `${Math.abs(v)}° ${side}`;
  }
  clearTimeout(asking);
  asking = setTimeout(() => ask(form), 120);
});

async function send(form, submitter) {
  const data = new FormData(form, submitter);
  const files = [...data.values()].some((v) => v instanceof File);
  const what = files ? data : new URLSearchParams(data);
  const answer = await fetch(form.action, { ...html, method: "POST", body: what });
  const page = await shown(answer);
  if (!page) return;
  if (answer.ok) {
    const at = document.activeElement;
    if (form.contains(at) && typing(at)) at.blur();
    for (const f of form.querySelectorAll("input, textarea")) f.value = f.defaultValue;
    if (answer.redirected) history.replaceState(null, "", answer.url);
  } else if (document.activeElement && typing(document.activeElement)) document.activeElement.blur();
  take(page, form);
  const wrong = document.querySelector("[aria-invalid=true]");
  if (!answer.ok && wrong) wrong.focus();
}

addEventListener("submit", async (e) => {
  const form = e.target;
  if (form.matches("form[data-away]")) {
    e.preventDefault();
    return putAway(form);
  }
  if (form.matches("form[data-photo]") && "indexedDB" in window) {
    e.preventDefault();
    return takePhoto(form);
  }
  if (!form.matches("form[data-in-place], form[data-keep]")) return;
  e.preventDefault();
  if (form.method === "get") return ask(form);
  if (form.matches("[data-keep]")) return keep(form, e.submitter);
  try {
    await send(form, e.submitter);
  } catch {
    for (const field of form.elements) noteTyped(field);
    say("No connection: nothing was changed. Try again.", true);
  }
});

// ---- News.

function hear() {
  const hears = (body.dataset.hears || "").split(" ").filter(Boolean);
  // Nobody is in on a page without a bar of alerts.
  if (!byId("alerts") || !("EventSource" in window)) return;
  const news = new EventSource("/news");
  let before = false;
  news.addEventListener("hello", () => {
    if (before && hears.length) refresh();
    before = true;
    if (navigator.onLine) say("");
    flush();
    flushPhotos();
  });
  for (const kind of ["rig", "verdict"]) {
    news.addEventListener(kind, (e) => {
      if (hears.includes(kind) && (!body.dataset.rig || e.data.trim() === body.dataset.rig)) refresh();
    });
  }
  for (const kind of ["entry", "people"]) news.addEventListener(kind, () => hears.includes(kind) && refresh());
  news.addEventListener("all", () => hears.length && refresh());
  news.addEventListener("alerts", (e) => alerted(new DOMParser().parseFromString(e.data, "text/html").getElementById("alerts")));
  news.addEventListener("end", () => {
    news.close();
    say("The program at the laptop has ended. Entries are kept on this phone.", true);
    setTimeout(hear, 5000);
  });
  news.addEventListener("error", () => say("No connection to the laptop. Entries are kept on this phone.", true));
  addEventListener("pagehide", () => news.close());
}

// ---- Entries that are kept until they have been sent, once.

const KEPT = "clingfish-kept";
// Where a browser keeps nothing, at least as long as the page is open.
let held_here = [];
const kept = () => {
  try {
    return JSON.parse(localStorage.getItem(KEPT)) || [];
  } catch {
    return held_here;
  }
};

function put(list) {
  held_here = list;
  try {
    localStorage.setItem(KEPT, JSON.stringify(list));
  } catch {
    // It stands in the page.
  }
  const waiting = list.filter((e) => !e.why);
  for (const e of document.querySelectorAll("[data-waiting]")) {
    e.replaceChildren(...(waiting.length ? [`${waiting.length} on this phone, not yet sent`] : []), ...list.filter((x) => x.why).map(refused));
    e.hidden = !list.length;
  }
}

// An entry that was not taken, until the person has seen to it.
function refused(entry) {
  const said = [...new URLSearchParams(entry.body)].filter(([k]) => !["token", "act", "saw"].includes(k));
  const box = document.createElement("div");
  box.className = "wrong";
  const words = document.createElement("p");
  words.textContent = `Not taken: ${said.map(([k, v]) => `${k} ${v}`).join(", ")}. ${entry.why}`;
  const done = document.createElement("button");
  done.type = "button";
  done.className = "plain";
  done.textContent = "I have seen to it";
  done.addEventListener("click", () => put(kept().filter((e) => e.body !== entry.body)));
  box.append(words, done);
  return box;
}

function fresh() {
  const bytes = crypto.getRandomValues(new Uint8Array(16));
  return [...bytes].map((b) => b.toString(16).padStart(2, "0")).join("");
}

async function keep(form, submitter) {
  const data = new FormData(form, submitter);
  if (!data.get("token")) data.set("token", fresh());
  const entry = { to: new URL(form.action, location.href).pathname, body: new URLSearchParams(data).toString(), made: Date.now() };
  put([...kept(), entry]);
  for (const f of form.querySelectorAll("input[name=token]")) f.value = fresh();
  await flush(form, entry);
}

let flushing = null;
function flush(form, entry) {
  flushing = (flushing || Promise.resolve()).then(() => flushed(form, entry)).catch(() => {});
  return flushing;
}

const without = (entry) => kept().filter((e) => e.body !== entry.body);

// Sends what waits. `form` and `typed`: the form that was just sent, and its entry.
async function flushed(form, typed) {
  for (;;) {
    const list = kept();
    const entry = list.find((e) => !e.why);
    if (!entry) return;
    const here = form && typed && entry.body === typed.body;
    let answer;
    try {
      answer = await fetch(entry.to, {
        ...html,
        method: "POST",
        body: `${entry.body}&waited=${Math.max(0, Date.now() - entry.made)}`,
        headers: { ...html.headers, "Content-Type": "application/x-www-form-urlencoded" },
      });
    } catch {
      put(list);
      sayState(`No connection: ${list.filter((e) => !e.why).length} kept on this phone, sent when it is back.`, form);
      if (form) clear(form);
      return;
    }
    if (answer.status === 401 || new URL(answer.url).pathname === "/join") {
      sayState("Join again: what is kept on this phone is sent then.", form);
      return;
    }
    if (answer.status >= 500 || answer.status === 429) {
      sayState("The laptop cannot take it now; it is kept on this phone.", form);
      return;
    }
    const text = await answer.text();
    const page = new DOMParser().parseFromString(text, "text/html");
    if (answer.ok) {
      put(without(entry));
      if (here) clear(form);
    } else if (here && page.querySelector("[aria-invalid=true], .wrong")) {
      // It is told beside its field, where what was typed stands again.
      put(without(entry));
      if (document.activeElement && typing(document.activeElement)) document.activeElement.blur();
    } else {
      const why = page.querySelector(".wrong, main p");
      put([...without(entry), { ...entry, why: why ? why.textContent : "The laptop did not take it." }]);
    }
    if (!here) await released();
    if (location.pathname === entry.to) take(page, here && form);
    else refresh();
  }
}

function clear(form) {
  const at = document.activeElement;
  if (form.contains(at) && typing(at)) at.blur();
  for (const f of form.querySelectorAll("input:not([type=hidden]), textarea")) if (f.type !== "checkbox") f.value = f.defaultValue;
}

addEventListener("online", () => flush());
// A network that comes back does not always say so.
setInterval(() => kept().some((e) => !e.why) && flush(), 4000);

// ---- The drawing: tap, drag, turn.

let held = null;

function place(svg, e) {
  const m = svg.getScreenCTM().inverse();
  const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m);
  return [p.x, p.y];
}

// What is taken: a cup before what lies over it, else what lies on top.
function taken(figure, e) {
  const there = document.elementsFromPoint(e.clientX, e.clientY).filter((x) => figure.contains(x));
  const parts = there.map((x) => x.closest("[data-part]")).filter(Boolean);
  return parts.find((p) => p.dataset.part.startsWith("cup-")) || parts[0] || null;
}

addEventListener("pointerdown", (e) => {
  const figure = e.target instanceof Element && e.target.closest("#drawing");
  if (!figure || e.button !== 0 || held) return;
  const svg = figure.querySelector("svg");
  const part = taken(figure, e);
  if (!svg || (!part && figure.dataset.turns !== "yes")) return;
  held = {
    figure,
    id: e.pointerId,
    part: part && figure.dataset.turns !== "yes" ? part.dataset.part : null,
    tapped: part ? part.dataset.part : null,
    revision: figure.dataset.revision,
    before: figure.innerHTML,
    client: [e.clientX, e.clientY],
    from: place(svg, e),
    to: null,
    moved: false,
    busy: false,
    m: svg.getScreenCTM().inverse(),
  };
});

const turned = (h, e) => {
  const u = new URL(location.href);
  const angle = (name, was) => Number(u.searchParams.get(name) || was);
  if (!h.angles) h.angles = [angle("from", 34), angle("over", 26)];
  const round = (v) => String(Math.round(v / 2) * 2);
  u.searchParams.set("from", round(((h.angles[0] - (e.clientX - h.client[0]) / 3 + 540) % 360) - 180));
  u.searchParams.set("over", round(Math.max(2, Math.min(85, h.angles[1] + (e.clientY - h.client[1]) / 3))));
  return u.href;
};

addEventListener("pointermove", (e) => {
  const h = held;
  if (!h || e.pointerId !== h.id) return;
  if (!h.moved) {
    if (Math.hypot(e.clientX - h.client[0], e.clientY - h.client[1]) < 6) return;
    if (h.part && h.figure.dataset.moves !== "yes") return;
    h.moved = true;
    h.figure.setPointerCapture(h.id);
    h.figure.classList.add("moving");
  }
  e.preventDefault();
  if (!h.part) {
    h.next = turned(h, e);
    turnOn(h);
    return;
  }
  const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(h.m);
  h.to = [p.x, p.y];
  tryOn(h);
});

async function turnOn(h) {
  if (h.busy || !h.next) return;
  h.busy = true;
  const address = h.next;
  h.next = null;
  try {
    const page = await shown(await fetch(address, html));
    const next = page && page.getElementById("drawing");
    if (next && held === h) {
      h.figure.innerHTML = next.innerHTML;
      history.replaceState(null, "", address);
    }
  } catch {
    say("No connection.", true);
  }
  h.busy = false;
  if (h.next) turnOn(h);
}

const rigPath = () => location.pathname.replace(/\/layout$/, "");

async function tryOn(h) {
  if (h.busy || !h.to || (h.done && h.done[0] === h.to[0] && h.done[1] === h.to[1])) return;
  h.busy = true;
  const to = h.to;
  try {
    const answer = await fetch(`${rigPath()}/try${location.search}`, {
      method: "POST",
      credentials: "same-origin",
      headers: { "Content-Type": "application/json" },
      body: JSON.stringify({ part: h.part, revision: Number(h.revision), from: h.from, to }),
    });
    const told = await answer.json();
    h.done = to;
    if (held === h) {
      if (told.svg) h.figure.innerHTML = told.svg;
      const says = byId("says");
      if (says) says.textContent = told.says;
    }
  } catch {
    say("No connection: the drawing does not follow.", true);
  }
  h.busy = false;
  if (held === h) tryOn(h);
}

function letGo(h) {
  h.figure.classList.remove("moving");
  held = null;
}

addEventListener("pointerup", async (e) => {
  const h = held;
  if (!h || e.pointerId !== h.id) return;
  letGo(h);
  if (!h.moved) {
    if (h.tapped) choose(h.tapped);
    return;
  }
  if (!h.part || !h.to) return;
  try {
    const data = new URLSearchParams({ part: h.part, revision: h.revision, from: h.from.join(" "), to: h.to.join(" "), back: location.pathname + location.search });
    const answer = await fetch(`${rigPath()}/place${location.search}`, { ...html, method: "POST", body: data });
    if (!answer.ok) h.figure.innerHTML = h.before;
    const page = await shown(answer);
    if (page && answer.ok) history.pushState(null, "", answer.url);
    if (page) take(page);
  } catch {
    h.figure.innerHTML = h.before;
    say("No connection: the part was not moved.", true);
  }
});

function dropped(e) {
  const h = held;
  if (!h || (e.pointerId !== undefined && e.pointerId !== h.id)) return;
  h.figure.innerHTML = h.before;
  letGo(h);
}
addEventListener("pointercancel", dropped);
addEventListener("keydown", (e) => {
  if (e.key === "Escape") dropped(e);
});

// A cup or a strap that is tapped lets go; tapped again it holds. Any part that is tapped is chosen.
function choose(mark) {
  const u = new URL(location.href);
  u.searchParams.set("part", mark);
  if (/^(cup|strap)-/.test(mark)) {
    if (u.searchParams.get("lost") === mark) u.searchParams.delete("lost");
    else u.searchParams.set("lost", mark);
    u.searchParams.delete("worst");
  }
  look(u.href, "push");
}

// Arrow keys on the drawing move the chosen part by one step.
addEventListener("keydown", (e) => {
  if (!(e.target instanceof Element) || !e.target.closest("#drawing")) return;
  const button = document.querySelector(`button[data-key="${e.key}"]`);
  if (!button) return;
  e.preventDefault();
  button.click();
});
