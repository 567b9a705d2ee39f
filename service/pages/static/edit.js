// The effect while typing, and no typed work lost. The form works without it: "Show the effect" does the same.
const form = document.getElementById("condition-form");
const strip = document.getElementById("strip");
const place = `typed:${location.pathname}`;
const unsaved = ["token", "seen", "once", "do"];
let typing = 0;
let asked = 0;

const entries = () => [...new FormData(form)].filter(([name, value]) => !unsaved.includes(name) && typeof value === "string");
const first = JSON.stringify(entries());

function keep() {
  const text = JSON.stringify(entries());
  try {
    if (text === first) localStorage.removeItem(place);
    else localStorage.setItem(place, JSON.stringify({ at: Date.now(), entries: JSON.parse(text) }));
  } catch { /* private window: typing still works, only nothing is kept */ }
}

async function show() {
  const mine = ++asked;
  const body = new URLSearchParams(new FormData(form));
  body.set("do", "effect");
  strip.setAttribute("aria-busy", "true");
  let answer;
  try {
    answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", redirect: "error" });
  } catch {
    if (mine === asked) say("The service cannot be reached. What you typed is kept in this browser.");
    return;
  }
  const page = new DOMParser().parseFromString(await answer.text(), "text/html");
  if (mine !== asked) return;
  const now = page.getElementById("strip");
  if (!now) {
    say(answer.status === 401 ? "You are signed out. What you typed is kept in this browser: sign in in another window and go on." : "The effect cannot be shown just now.");
    return;
  }
  strip.replaceChildren(...now.childNodes);
  document.getElementById("said").textContent = now.dataset.said;
  strip.removeAttribute("aria-busy");
  for (const cell of page.querySelectorAll(".live")) document.getElementById(cell.id)?.replaceChildren(...cell.childNodes);
}

function say(words) {
  strip.removeAttribute("aria-busy");
  strip.querySelector(".strip-note")?.remove();
  const note = document.createElement("p");
  note.className = "wrong strip-note";
  note.textContent = words;
  document.getElementById("said").textContent = words;
  strip.append(note);
}

form.addEventListener("input", (event) => {
  keep();
  if (event.target.name === "reason") return;
  clearTimeout(typing);
  typing = setTimeout(show, 350);
});

// Offer what was typed before a session ended or a window closed.
function offer() {
  let kept;
  try { kept = JSON.parse(localStorage.getItem(place)); } catch { kept = null; }
  if (!kept || JSON.stringify(kept.entries) === first) return;
  const box = document.getElementById("restore");
  const words = document.createElement("p");
  words.className = "banner";
  words.textContent = `You typed something here on ${new Date(kept.at).toLocaleString()} and did not save it. `;
  const put = document.createElement("button");
  put.type = "button";
  put.textContent = "Put it back";
  put.addEventListener("click", () => {
    for (const [name, value] of kept.entries) {
      const field = form.elements[name];
      if (field) field.value = value;
    }
    box.hidden = true;
    show();
  });
  const drop = document.createElement("button");
  drop.type = "button";
  drop.className = "second";
  drop.textContent = "Forget it";
  drop.addEventListener("click", () => { localStorage.removeItem(place); box.hidden = true; });
  const acts = document.createElement("p");
  acts.className = "acts";
  acts.append(put, drop);
  box.replaceChildren(words, acts);
  box.hidden = false;
}
offer();
