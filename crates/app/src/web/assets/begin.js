// ---- Begin.

// A drawing is made for the screen that it stands on.
const small = matchMedia("(max-width: 700px)");
function size() {
  const was = document.cookie.includes("small=1");
  document.cookie = `small=${small.matches ? 1 : 0}; path=/; SameSite=Strict; max-age=31536000`;
  if (was !== small.matches && byId("drawing")) refresh();
}
small.addEventListener("change", size);
size();
body.classList.add("lively");
put(kept());
setClock(document);
tick();
soundFirst();
motionFirst();
showPhotos();
putTyped();
alerted(byId("alerts"));
hear();
