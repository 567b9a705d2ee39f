// The sheet while it is typed: judged at once, kept on the service, moved through by keyboard, columns pasted.
// Without this script every button does the same by sending the form.
const form = document.getElementById("condition-form");
const strip = document.getElementById("strip");
const box = document.getElementById("strip-box");
const said = document.getElementById("said");
const place = `typed:${location.pathname}${location.search}`;
const unsaved = new Set(["token", "seen", "from", "draft", "once", "do"]);
const WAIT = 60;
const KEEP = 3000;
const SAY = 900;
let waiting = 0;
let keptAt = 0;
let later = 0;
let telling = 0;
let running = false;
let next = null;

const named = (name) => form.elements.namedItem(name);
const id = (name) => name.replace(/[^A-Za-z0-9._-]/g, "_");
const entries = () => [...new FormData(form)].filter(([name, value]) => !unsaved.has(name) && typeof value === "string");
const first = JSON.stringify(entries());
let synced = first;
let holds = first;

document.documentElement.classList.add("scripted");

// A focused field is never under the strip.
new ResizeObserver(() => {
  document.documentElement.style.scrollPaddingTop = `${box.offsetHeight + 24}px`;
}).observe(box);

function remember() {
  const text = JSON.stringify(entries());
  try {
    if (text === first) localStorage.removeItem(place);
    else localStorage.setItem(place, JSON.stringify({ at: Date.now(), entries: JSON.parse(text) }));
  } catch { /* private window: typing still works */ }
}

// One question at a time: what is typed meanwhile is asked as soon as the answer is there.
async function ask(action = "", withSynced = false) {
  clearTimeout(waiting);
  clearTimeout(later);
  if (running) {
    next = [action || next?.[0] || "", withSynced];
    return;
  }
  running = true;
  box.setAttribute("aria-busy", "true");
  let again = null;
  try {
    again = await question(action, withSynced);
  } catch {
    keptAt = 0;
    say("The service cannot be reached. What you typed is kept in this browser.");
  }
  running = false;
  again = again ?? next;
  next = null;
  if (again) ask(...again);
  else box.removeAttribute("aria-busy");
}

async function question(action, withSynced) {
  const body = new URLSearchParams(new FormData(form));
  const sent = new Map(body);
  const before = JSON.stringify(entries());
  body.set("do", action || "live");
  body.set("live", "1");
  const keeps = Date.now() - keptAt >= KEEP || action !== "" || withSynced;
  if (keeps && (action !== "" || JSON.stringify(entries()) !== holds)) {
    body.set("keep", "1");
    keptAt = Date.now();
    if (withSynced) body.set("synced", synced);
  }
  const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", redirect: "error" });
  if (!answer.headers.get("content-type")?.includes("json")) {
    say(answer.status === 401 ? "You are signed out. What you typed is kept in this browser: sign in in another window and go on." : "The effect cannot be shown just now.");
    return null;
  }
  const told = await answer.json();
  if (told.newer) return [action, true];
  show(told, sent, body.has("keep"), before);
  return null;
}

function show(answer, sent, kept, before) {
  const typed = JSON.stringify(entries()) !== before;
  document.querySelector(".strip-note")?.remove();
  const now = new DOMParser().parseFromString(answer.html, "text/html");
  for (const piece of now.querySelectorAll("[data-for]")) {
    if (piece.dataset.for === "said") tell(piece.textContent.trim());
    else document.getElementById(piece.dataset.for)?.replaceChildren(...piece.childNodes);
  }
  let unknown = false;
  for (const [name, value] of Object.entries(answer.values)) {
    const field = named(name);
    if (!field) unknown ||= value !== "" && !unsaved.has(name);
    else if (field.type === "checkbox") field.checked = value !== "";
    else if (field.value === (sent.get(name) ?? field.value)) field.value = value;
  }
  mark(answer);
  const undo = document.getElementById("undo");
  if (undo) undo.textContent = answer.changed ? `Undo all ${answer.changed}` : "Undo all";
  if (kept) {
    named("draft").value = answer.draft;
    const both = new Map([...sent, ...Object.entries(answer.values)].filter(([name]) => !unsaved.has(name)));
    synced = JSON.stringify([...both]);
    holds = typed ? "" : JSON.stringify(entries());
    document.getElementById("kept").textContent = `Kept on the service, ${new Date().toISOString().slice(11, 16)} UTC.`;
    if (answer.not_kept) {
      document.getElementById("kept").textContent = "";
      say(`Not kept on the service: ${answer.not_kept} It is kept in this browser.`);
    }
    together(answer);
    if (unknown) location.reload();
  }
  if (JSON.stringify(entries()) !== holds) later = setTimeout(() => { keptAt = 0; ask(); }, Math.max(200, KEEP - (Date.now() - keptAt)));
}

function mark(answer) {
  for (const field of form.querySelectorAll("input.changed, [aria-invalid]")) {
    field.classList.toggle("changed", field.name in answer.was);
    if (!(field.name in answer.wrong)) field.removeAttribute("aria-invalid");
  }
  for (const note of form.querySelectorAll("span.was[id]:not(:empty), span.wrong[id]:not(:empty)")) note.textContent = "";
  for (const [name, text] of Object.entries(answer.was)) {
    named(name)?.classList?.add("changed");
    const note = document.getElementById(`was-${id(name)}`);
    if (note) note.textContent = `was ${text}`;
  }
  for (const [name, text] of Object.entries(answer.wrong)) {
    const field = named(name);
    const note = document.getElementById(`e-${id(name)}`);
    if (note) note.textContent = text;
    field?.setAttribute?.("aria-invalid", "true");
    field?.setAttribute?.("aria-describedby", `e-${id(name)}`);
  }
}

// What two people typed at once: theirs is taken where only they changed it, and both are named where both did.
function together(answer) {
  const where = document.getElementById("together");
  if (!answer.both.length && !answer.theirs.length) return;
  where.replaceChildren();
  const all = document.createElement("div");
  all.className = "banner bad";
  const head = document.createElement("p");
  head.textContent = "Somebody else is typing here too. Both are put together.";
  const list = document.createElement("ul");
  for (const [label, was, theirs] of answer.theirs) list.append(item(`${label}: ${was} → ${theirs}, theirs, taken`));
  for (const [label, theirs, mine] of answer.both) list.append(item(`${label}: theirs ${theirs}, yours ${mine}; yours stands`));
  all.append(head, list);
  where.append(all);
}

function item(words) {
  const line = document.createElement("li");
  line.textContent = words;
  return line;
}

function tell(words) {
  clearTimeout(telling);
  telling = setTimeout(() => { said.textContent = words; }, SAY);
}

function say(words) {
  box.querySelector(".strip-note")?.remove();
  const note = document.createElement("p");
  note.className = "wrong strip-note";
  note.textContent = words;
  tell(words);
  strip.append(note);
}

form.addEventListener("input", (event) => {
  remember();
  if (event.target.name === "reason") return;
  clearTimeout(waiting);
  waiting = setTimeout(() => ask(), event.target.tagName === "SELECT" ? 0 : WAIT);
});

form.addEventListener("submit", (event) => {
  const does = event.submitter?.value ?? "effect";
  if (["save", "fresh", "soundings"].includes(does)) {
    if (does === "fresh") try { localStorage.removeItem(place); } catch { /* nothing kept */ }
    return;
  }
  event.preventDefault();
  ask(does.startsWith("act:") ? does : "");
});

// Enter and the arrows go up and down, also from one group to the next.
const columns = (name) => [...form.querySelectorAll(`input[data-col="${CSS.escape(name)}"]`)].filter((field) => field.checkVisibility());

function go(field, step) {
  const all = columns(field.dataset.col);
  const next = all[all.indexOf(field) + step];
  if (!next) return false;
  next.focus();
  next.select();
  return true;
}

form.addEventListener("keydown", (event) => {
  const field = event.target;
  if (field.tagName !== "INPUT" || event.ctrlKey || event.metaKey || event.altKey || event.isComposing) return;
  const down = event.key === "Enter" ? (event.shiftKey ? -1 : 1) : { ArrowDown: 1, ArrowUp: -1 }[event.key];
  if (!down || (event.key === "Enter" && ["checkbox", "submit"].includes(field.type))) return;
  if (event.key === "Enter") event.preventDefault();
  if (field.dataset.col) {
    event.preventDefault();
    go(field, down);
  } else if (event.key === "Enter") {
    const fields = [...form.querySelectorAll("input:not([type=hidden]), select, textarea")].filter((one) => one.checkVisibility());
    fields[fields.indexOf(field) + down]?.focus();
  }
});

// A column, or a block, from a spreadsheet: down from here, and across.
form.addEventListener("paste", (event) => {
  const field = event.target;
  const text = event.clipboardData?.getData("text/plain") ?? "";
  if (!field.dataset?.col || !/[\t\n]/.test(text.replace(/[\r\n]+$/, ""))) return;
  event.preventDefault();
  const rows = text.replace(/\r\n?/g, "\n").replace(/\n+$/, "").split("\n").map((line) => line.split("\t"));
  const row = (one) => [...one.closest("tr").querySelectorAll("input[data-col]")];
  const down = columns(field.dataset.col);
  const start = down.indexOf(field);
  let left = 0;
  rows.forEach((cells, i) => {
    const at = down[start + i];
    if (!at) { left += cells.length; return; }
    const across = row(at);
    const from = across.indexOf(at);
    cells.forEach((cell, j) => {
      const to = across[from + j];
      if (to) to.value = cell.trim();
      else left += 1;
    });
  });
  if (left) say(`${left} of what was pasted did not fit and ${left === 1 ? "was" : "were"} left out.`);
  remember();
  ask();
});

document.getElementById("to-save")?.addEventListener("click", () => setTimeout(() => document.getElementById("f-reason").focus(), 0));
document.getElementById("errors")?.focus();

// Leaving: what was typed in the last seconds goes to the service too.
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "hidden" && JSON.stringify(entries()) !== holds) { keptAt = 0; ask(); }
});

// What was typed before a session ended or the service was out of reach.
function offer() {
  let kept;
  try { kept = JSON.parse(localStorage.getItem(place)); } catch { kept = null; }
  const told = (list) => JSON.stringify(list.filter(([name, value]) => value !== "" && !name.startsWith("k:")));
  if (!kept || form.dataset.posted || told(kept.entries) === told(JSON.parse(first))) return;
  const restore = document.getElementById("restore");
  const words = document.createElement("p");
  words.className = "banner";
  words.textContent = `You typed something here on ${new Date(kept.at).toLocaleString()} that this page does not show. `;
  const put = Object.assign(document.createElement("button"), { type: "button", textContent: "Put it back" });
  put.addEventListener("click", () => {
    for (const [name, value] of kept.entries) {
      const field = named(name);
      if (field?.type === "checkbox") field.checked = true;
      else if (field) field.value = value;
    }
    restore.hidden = true;
    ask();
  });
  const drop = Object.assign(document.createElement("button"), { type: "button", className: "second", textContent: "Forget it" });
  drop.addEventListener("click", () => { localStorage.removeItem(place); restore.hidden = true; });
  const acts = document.createElement("p");
  acts.className = "acts";
  acts.append(put, drop);
  restore.replaceChildren(words, acts);
  restore.hidden = false;
}
offer();
