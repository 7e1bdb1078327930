// ---- Photos: kept on the phone from the moment they are taken until the laptop has them, each once.

const ALBUM = "clingfish";
// What a phone keeps at most: so many, and so many bytes together. One alone is as large as the laptop takes it.
const MOST_PHOTOS = 60;
const MOST_BYTES = 300e6;
const PHOTO_BYTES = 20e6;

// Opens where they are kept; fails where a browser keeps nothing.
function album() {
  return new Promise((done, failed) => {
    const opening = indexedDB.open(ALBUM, 1);
    opening.onupgradeneeded = () => opening.result.createObjectStore("photos", { keyPath: "token" });
    opening.onsuccess = () => done(opening.result);
    opening.onerror = () => failed(opening.error);
  });
}

// Does one thing with them; what it gave, once it is safely kept.
async function inAlbum(way, what) {
  const db = await album();
  try {
    return await new Promise((done, failed) => {
      const trade = db.transaction("photos", way);
      const asked = what(trade.objectStore("photos"));
      trade.oncomplete = () => done(asked.result);
      trade.onabort = trade.onerror = () => failed(trade.error || asked.error);
    });
  } finally {
    db.close();
  }
}

const photos = () => inAlbum("readonly", (s) => s.getAll());
const full = (fault) => fault && fault.name === "QuotaExceededError";
const megabytes = (bytes) => (bytes < 1e5 ? `${Math.ceil(bytes / 1e3)} kB` : `${(bytes / 1e6).toFixed(1)} MB`);

async function takePhoto(form) {
  const data = new FormData(form);
  const file = data.get("photo");
  if (!(file instanceof File) || !file.size) return say("Choose or take a photo first.", true);
  if (file.size > PHOTO_BYTES) return say(`This photo is ${megabytes(file.size)}; the most is ${megabytes(PHOTO_BYTES)}. Take it smaller.`, true);
  const photo = {
    token: fresh(),
    to: new URL(form.action, location.href).pathname,
    step: data.get("step").trim(),
    caption: data.get("caption").trim(),
    who: body.dataset.who,
    made: Date.now(),
    // The bytes themselves: what a file on the phone says may be another tomorrow.
    bytes: await file.arrayBuffer(),
  };
  try {
    const there = await photos();
    const bytes = there.reduce((sum, p) => sum + p.bytes.byteLength, photo.bytes.byteLength);
    if (there.length >= MOST_PHOTOS || bytes > MOST_BYTES) {
      return say(`${there.length} photos wait on this phone, and it keeps no more. Go where the laptop can be reached, then take it again.`, true);
    }
    await inAlbum("readwrite", (s) => s.put(photo));
  } catch (fault) {
    if (full(fault)) return say("This phone's storage is full: the photo is not kept. Free some space, or send it while the laptop can be reached.", true);
    // A browser that keeps nothing, as some private windows: sent at once or not at all.
    if (await sendPhoto(photo).catch(() => "no connection")) return say("This browser keeps no photos, and the laptop does not take it now. It is not kept: try again.", true);
    say("Sent.");
    return form.reset();
  }
  form.reset();
  await showPhotos();
  await flushPhotos(true);
}

// Nothing once the laptop has it; else why it has not.
async function sendPhoto(photo) {
  const data = new FormData();
  data.set("token", photo.token);
  data.set("step", photo.step);
  data.set("caption", photo.caption);
  data.set("taken_by", photo.who);
  data.set("waited", String(Math.max(0, Date.now() - photo.made)));
  data.set("photo", new Blob([photo.bytes]), "photo");
  const answer = await fetch(photo.to, { ...html, method: "POST", body: data });
  if (answer.status === 401 || new URL(answer.url).pathname === "/join") return "join";
  if (answer.ok) return "";
  if (answer.status >= 500 || answer.status === 429 || answer.status === 408) return "later";
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  const why = page.querySelector(".wrong, main p");
  return `: ${why ? why.textContent : "the laptop did not take it"}`;
}

let sendingPhotos = null;
function flushPhotos(asked) {
  sendingPhotos = (sendingPhotos || Promise.resolve()).then(() => photosFlushed(asked)).catch(() => {});
  return sendingPhotos;
}

// One page of a phone sends at a time: two would send the same, which is written once, but twice as slowly.
const alone = (what) => (navigator.locks ? navigator.locks.request("clingfish-photos", what) : what());

async function photosFlushed(asked) {
  if (!("indexedDB" in window)) return;
  await alone(async () => {
    const list = (await photos()).filter((p) => !p.why).sort((a, b) => a.made - b.made);
    for (const photo of list) {
      let why;
      try {
        why = await sendPhoto(photo);
      } catch {
        sayState(`No connection: ${list.length === 1 ? "the photo is" : `${list.length} photos are`} kept on this phone.`, asked);
        break;
      }
      if (why === "join" || why === "later") {
        sayState(why === "join" ? "Join again: the photos on this phone are sent then." : "The laptop cannot take the photo now; it is kept on this phone.", asked);
        break;
      }
      if (why === "") {
        await inAlbum("readwrite", (s) => s.delete(photo.token));
        say("Photo sent.");
      } else await inAlbum("readwrite", (s) => s.put({ ...photo, why: why.replace(/^: /, "") }));
    }
  });
  await showPhotos();
}

function photoLine(photo) {
  const box = document.createElement("div");
  box.className = photo.why ? "wrong" : "record";
  const words = document.createElement("p");
  const at = new Date(photo.made).toLocaleTimeString([], { hour: "2-digit", minute: "2-digit" });
  const what = [photo.caption || "Photo", photo.step && `of ${photo.step}`].filter(Boolean).join(", ");
  words.textContent = `${what}. Taken at ${at} by ${photo.who}, ${megabytes(photo.bytes.byteLength)}. ${photo.why ? `Not taken by the laptop: ${photo.why}` : "Waits on this phone."}`;
  box.append(words);
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "plain";
  drop.textContent = photo.why ? "I have seen to it" : "Throw it away";
  drop.addEventListener("click", async () => {
    if (!photo.why && drop.textContent === "Throw it away") {
      drop.textContent = "Press again: it is not sent";
      return;
    }
    await inAlbum("readwrite", (s) => s.delete(photo.token));
    await showPhotos();
  });
  box.append(drop);
  return box;
}

async function showPhotos() {
  const place = document.querySelector("[data-photos]");
  if (!place || !("indexedDB" in window)) return;
  let list = [];
  try {
    list = (await photos()).sort((a, b) => a.made - b.made);
  } catch {
    // It keeps nothing.
  }
  const waiting = list.filter((p) => !p.why).length;
  const head = document.createElement("p");
  head.className = "waiting";
  head.textContent = waiting === 1 ? "1 photo on this phone, not yet sent" : `${waiting} photos on this phone, not yet sent`;
  place.replaceChildren(...(waiting ? [head] : []), ...list.map(photoLine));
  place.hidden = !list.length;
}

addEventListener("online", () => flushPhotos());
setInterval(async () => {
  // A network that comes back does not always say so.
  const list = "indexedDB" in window ? await photos().catch(() => []) : [];
  if (list.some((p) => !p.why)) flushPhotos();
}, 5000);

