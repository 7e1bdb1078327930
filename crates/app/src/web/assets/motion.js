// ---- A release test by the phone's own motion sensor: recorded here, then sent as the file that the upload takes.

const COUNT_S = 3;
const MOST_S = 90;
let release = null;

// Why this phone cannot, or nothing.
function noMotion() {
  if (!window.isSecureContext) return "This page came by plain http, and browsers give the motion sensor to pages by https or on the machine itself alone. Record with a logger's app and choose its file below.";
  if (!("DeviceMotionEvent" in window)) return "This browser has no motion sensor to give. Record with a logger's app and choose its file below.";
  return "";
}

function motionFirst() {
  const card = byId("motion");
  if (!card) return;
  card.hidden = false;
  const why = noMotion();
  card.querySelector("[data-motion-says]").textContent = why || "Fasten this phone flat to the payload. Press Start, press the payload down and hold it. When it says LET GO, take your hands off until it hangs still.";
  card.querySelector("[data-motion=start]").hidden = why !== "";
}

const motionSays = (text) => {
  const says = document.querySelector("[data-motion-says]");
  if (says) says.textContent = text;
};

async function startRelease() {
  if (release) return;
  // Asked for by a touch, where a browser asks the person.
  if (typeof DeviceMotionEvent.requestPermission === "function") {
    const may = await DeviceMotionEvent.requestPermission().catch(() => "denied");
    if (may !== "granted") return motionSays("The browser was told not to give the motion sensor. Allow it in the browser's settings for this page, or choose a file below.");
  }
  release = { samples: [], count: COUNT_S };
  addEventListener("devicemotion", moved);
  show("start", false);
  show("stop", true);
  byId("motion-send").hidden = true;
  motionSays(`Press down and hold. Let go in ${COUNT_S} ...`);
  release.timer = setInterval(() => {
    release.count -= 1;
    if (release.count > 0) motionSays(`Press down and hold. Let go in ${release.count} ...`);
    else if (release.count === 0) {
      motionSays(release.samples.length ? "LET GO, hands off. Press Stop when it hangs still." : "LET GO. Nothing has come from the sensor yet.");
      if (navigator.vibrate) navigator.vibrate(300);
    } else if (!release.samples.length) stopRelease("Nothing came from the sensor: this device may have none. Choose a logger's file below.");
    else if (-release.count >= MOST_S) stopRelease();
    trace();
  }, 1000);
}

const show = (name, on) => {
  const b = document.querySelector(`[data-motion=${name}]`);
  if (b) b.hidden = !on;
};

// One sample: with gravity, as a logger on the payload has it; m/s2 by the standard, and its own time in ms.
function moved(e) {
  const a = e.accelerationIncludingGravity || e.acceleration;
  if (!release || !a || ![a.x, a.y, a.z].every(Number.isFinite)) return;
  const last = release.samples[release.samples.length - 1];
  // Two at one moment, or one from before: the reader asks for time that goes on.
  if (last && e.timeStamp <= last[0]) return;
  release.samples.push([e.timeStamp, a.x, a.y, a.z]);
}

function stopRelease(why) {
  if (!release) return;
  clearInterval(release.timer);
  removeEventListener("devicemotion", moved);
  const { samples } = release;
  release = null;
  show("stop", false);
  show("start", true);
  trace(samples);
  if (why) return motionSays(why);
  const s = samples.length > 1 ? (samples[samples.length - 1][0] - samples[0][0]) / 1000 : 0;
  if (samples.length < 20 || s < 1) return motionSays(`${samples.length} samples in ${s.toFixed(1)} s are too few to tell anything. Start again.`);
  document.querySelector("[data-motion=start]").textContent = "Start again";
  byId("motion-send").hidden = false;
  byId("motion-send").samples = samples;
  motionSays(`${samples.length} samples in ${s.toFixed(1)} s, ${(samples.length / s).toFixed(0)} a second. Look at it, or start again.`);
}

// The axis that moved most, less its mean: what the trace shows and the reader is asked to look at.
function liveliest(samples) {
  const spread = [1, 2, 3].map((k) => {
    const mean = samples.reduce((sum, s) => sum + s[k], 0) / samples.length;
    return { k, mean, is: samples.reduce((sum, s) => sum + (s[k] - mean) ** 2, 0) };
  });
  return spread.sort((a, b) => b.is - a.is)[0];
}

function trace(all) {
  const figure = byId("motion-trace");
  const samples = all || (release && release.samples) || [];
  if (!figure || samples.length < 2) return;
  const { k, mean } = liveliest(samples);
  const [t0, t1] = [samples[0][0], samples[samples.length - 1][0]];
  const most = Math.max(...samples.map((s) => Math.abs(s[k] - mean)), 1e-6);
  const at = (s) => `${(((s[0] - t0) / (t1 - t0)) * 600).toFixed(1)},${(100 - ((s[k] - mean) / most) * 90).toFixed(1)}`;
  const every = Math.ceil(samples.length / 1200);
  figure.querySelector("polyline").setAttribute("points", samples.filter((_, i) => i % every === 0).map(at).join(" "));
  figure.querySelector("figcaption").textContent = `Acceleration along ${"xyz"[k - 1]} less its mean, up to ${most.toFixed(2)} m/s², over ${((t1 - t0) / 1000).toFixed(1)} s.`;
  figure.hidden = false;
}

// The same kind of file as a logger writes: units in its head, times in ms from its first sample.
function asLog(samples) {
  const t0 = samples[0][0];
  const rows = samples.map(([t, ...a]) => `${(t - t0).toFixed(2)},${a.map((v) => v.toFixed(4)).join(",")}`);
  return ["time [ms],acc x [m/s2],acc y [m/s2],acc z [m/s2]", ...rows, ""].join("\n");
}

async function sendRelease() {
  const { samples } = byId("motion-send");
  const form = document.querySelector("form[action$='/settle']");
  if (!samples || !form) return;
  const data = new FormData();
  data.set("log", new Blob([asLog(samples)], { type: "text/csv" }), "release-by-this-phone.csv");
  data.set("signal", String(liveliest(samples).k + 1));
  try {
    const answer = await fetch(form.action, { ...html, method: "POST", body: data });
    const page = new DOMParser().parseFromString(await answer.text(), "text/html");
    const told = page.getElementById("told");
    if (!told) return say("That was not taken.", true);
    byId("told").replaceWith(document.importNode(told, true));
    byId("told").scrollIntoView({ block: "start" });
    say(answer.ok ? "" : "See what is wrong above.");
  } catch {
    say("No connection: the recording stands on this page until you start again or leave it.", true);
  }
}

addEventListener("click", (e) => {
  const b = e.target instanceof Element && e.target.closest("[data-motion]");
  if (!b) return;
  if (b.dataset.motion === "start") startRelease();
  if (b.dataset.motion === "stop") stopRelease();
  if (b.dataset.motion === "send") sendRelease();
});

