// ---- What everybody must see now: a bar on every page, and a sound where the person asked for one.

// Put away on this page, whether or not the laptop has heard of it yet.
const gone = new Set();

function putAway(form) {
  const box = form.closest("[data-alert]");
  gone.add(box.dataset.alert);
  box.remove();
  fetch(form.action, { ...html, method: "POST", body: new URLSearchParams(new FormData(form)) }).catch(() => {});
}

// Takes the bar as the server has it. What stands already stays as it is, or it would be read aloud again.
function alerted(next) {
  const bar = byId("alerts");
  if (!bar || !next) return;
  const wanted = [...next.querySelectorAll("[data-alert]")].filter((a) => !gone.has(a.dataset.alert));
  const same = (a, b) => a.dataset.alert === b.dataset.alert && a.innerHTML === b.innerHTML;
  const there = [...bar.querySelectorAll("[data-alert]")];
  if (next !== bar) {
    for (const old of there) if (!wanted.some((w) => same(w, old))) old.remove();
    for (const [at, w] of wanted.entries()) {
      if (!there.some((old) => same(w, old))) bar.insertBefore(document.importNode(w, true), bar.children[at] || null);
    }
  }
  const told = heardOf();
  const fresh = wanted.map((w) => w.dataset.alert).filter((id) => !told.includes(id));
  if (fresh.length && signal()) remember([...told, ...fresh].slice(-50));
}

// Of which a sound was made on this phone.
const TOLD = "clingfish-told";
let toldHere = [];
function heardOf() {
  try {
    return JSON.parse(localStorage.getItem(TOLD)) || toldHere;
  } catch {
    return toldHere;
  }
}

function remember(list) {
  toldHere = list;
  try {
    localStorage.setItem(TOLD, JSON.stringify(list));
  } catch {
    // It stands in the page.
  }
}

// ---- Time: how long until something is due, by the clock of the laptop.

let ahead = 0;
function setClock(page) {
  const now = Number(page.body.dataset.now);
  if (now) ahead = now - Date.now();
}

function tick() {
  for (const e of document.querySelectorAll("[data-due]")) {
    const left = Math.round((Number(e.dataset.due) - Date.now() - ahead) / 1000);
    const late = left < 0;
    const s = Math.abs(left);
    const text = s >= 3600 ? `${Math.floor(s / 3600)} h ${Math.floor((s % 3600) / 60)} min` : s >= 60 ? `${Math.floor(s / 60)} min ${s % 60} s` : `${s} s`;
    e.textContent = late ? `due since ${text}` : `in ${text}`;
    e.classList.toggle("late", late);
  }
}
setInterval(tick, 1000);

// ---- Sound. A browser makes none before the page was touched once, so a page says when it still waits for that.

const SOUND = "clingfish-sound";
let sound = null;

function wantsSound() {
  try {
    return localStorage.getItem(SOUND) === "on";
  } catch {
    return sound !== null;
  }
}

function sayButton() {
  const ready = sound && sound.state === "running";
  for (const b of document.querySelectorAll("button[data-sound]")) {
    b.hidden = !("AudioContext" in window);
    b.setAttribute("aria-pressed", wantsSound() ? "true" : "false");
    b.textContent = !wantsSound() ? "Sound is off" : ready ? "Sound is on" : "Touch for sound";
  }
}

async function openSound() {
  if (!sound) sound = new AudioContext();
  sound.onstatechange = sayButton;
  // Without a touch it waits for ever.
  await Promise.race([sound.resume(), new Promise((done) => setTimeout(done, 300))]).catch(() => {});
  sayButton();
}

function soundFirst() {
  sayButton();
  if (!wantsSound() || !("AudioContext" in window)) return;
  const open = async (e) => {
    // The button does it by itself.
    if (e.target instanceof Element && e.target.closest("button[data-sound]")) return;
    removeEventListener("pointerdown", open);
    removeEventListener("keydown", open);
    if (!wantsSound()) return;
    await openSound();
    alerted(byId("alerts"));
  };
  addEventListener("pointerdown", open);
  addEventListener("keydown", open);
}

// Three tones, and the phone shakes where it can. Whether a sound was made.
function signal() {
  if (!wantsSound() || !sound || sound.state !== "running") return false;
  for (const [k, f] of [660, 880, 660].entries()) {
    const tone = sound.createOscillator();
    const level = sound.createGain();
    tone.frequency.value = f;
    level.gain.value = 0.2;
    tone.connect(level).connect(sound.destination);
    tone.start(sound.currentTime + k * 0.25);
    tone.stop(sound.currentTime + k * 0.25 + 0.2);
  }
  if (navigator.vibrate && navigator.userActivation && navigator.userActivation.hasBeenActive) navigator.vibrate([250, 120, 250]);
  return true;
}

addEventListener("click", async (e) => {
  const b = e.target instanceof Element && e.target.closest("button[data-sound]");
  if (!b) return;
  const on = !(wantsSound() && sound && sound.state === "running");
  try {
    localStorage.setItem(SOUND, on ? "on" : "off");
  } catch {
    // On this page alone, then.
  }
  if (on) await openSound();
  else if (sound) {
    sound.close();
    sound = null;
  }
  sayButton();
  signal();
});

