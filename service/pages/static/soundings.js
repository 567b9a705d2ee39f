// What a reading says while it is typed, and what happens without a signal: readings stay in this browser until the
// service has them. Without this script "Show what it says" and "Next" do the same, with a signal.
const STORE = `soundings:${location.pathname}`;
const PATIENCE = 8000;
const AGAIN = 10000;
let waiting = 0;
let running = false;
let again = false;
let sending = false;

document.documentElement.classList.add("scripted");
const by = (id) => document.getElementById(id);
const round = () => JSON.parse(by("round").dataset.round);
let now = round();

// Readings that the service has not got yet: one a tank, in the order they were taken.
function kept() {
  try { return JSON.parse(localStorage.getItem(STORE)) ?? []; } catch { return []; }
}
function keep(list) {
  try {
    if (list.length) localStorage.setItem(STORE, JSON.stringify(list)); else localStorage.removeItem(STORE);
    return true;
  } catch { return false; }
}
function put(entry) {
  const list = kept();
  const before = list.find((one) => one.tank === entry.tank);
  if (before) entry.before = before.before;
  return keep([...list.filter((one) => one.tank !== entry.tank), entry]);
}
const named = (tank) => now.tanks.find((one) => one.id === tank)?.name ?? tank;
const said = (entry) => (entry.way === "empty" ? "empty" : `${entry.way} ${entry.reading}`);

function line(entry) {
  const item = document.createElement("li");
  item.append(`${named(entry.tank)}: ${said(entry)}`);
  if (entry.wrong) item.append(`. Not taken: ${entry.wrong} `, act("Read it again", () => draw(now.tanks.findIndex((one) => one.id === entry.tank))));
  if (entry.now !== undefined) {
    item.append(`. Meanwhile somebody wrote ${entry.now}. `);
    item.append(act("Write mine", () => settle(entry, true)), " ", act("Leave theirs", () => settle(entry, false)));
  }
  return item;
}
function act(words, doing, style = "plain") {
  const button = Object.assign(document.createElement("button"), { type: "button", className: style, textContent: words });
  button.addEventListener("click", doing);
  return button;
}
function tell(text = "") {
  const list = kept();
  by("waiting").replaceChildren();
  if (!list.length && !text) return;
  const box = Object.assign(document.createElement("div"), { className: "banner bad" });
  const strong = document.createElement("strong");
  strong.textContent = text || `${list.length} ${list.length === 1 ? "reading is" : "readings are"} in this browser only.`;
  const head = document.createElement("p");
  head.append(strong, list.length ? " They are sent as soon as the service is reached: leave this page open, or come back to it." : "");
  const lines = Object.assign(document.createElement("ul"), { className: "lines small" });
  lines.append(...list.map(line));
  box.append(head, lines);
  if (list.length) box.append(act("Send them now", send, "second"));
  by("waiting").append(box);
}
function settle(entry, mine) {
  const list = kept();
  const one = list.find((other) => other.tank === entry.tank);
  if (one && mine) { one.mine = "yes"; delete one.now; keep(list); send(); }
  if (one && !mine) { keep(list.filter((other) => other !== one)); tell(); }
}

async function post(fields) {
  const body = new URLSearchParams({ token: by("sounding").elements.token.value, ...fields });
  const given = { method: "POST", body, credentials: "same-origin", signal: AbortSignal.timeout(PATIENCE) };
  const answer = await fetch(by("sounding").action, given);
  if (answer.status >= 500 || answer.status === 429) throw new Error(answer.statusText);
  return answer;
}
const isJson = (answer) => answer.headers.get("content-type")?.includes("json") ?? false;

// Send what waits, one after the other. A reading leaves this browser when the service says that it has it, not before;
// one that arrives twice changes nothing there.
async function send() {
  if (sending) return;
  sending = true;
  let text = "";
  for (const entry of kept()) {
    if (entry.now !== undefined || entry.wrong) continue;
    try {
      const { tank, way, reading, before, mine } = entry;
      const answer = await post({ do: "late", tank, way, reading, before, ...(mine ? { mine } : {}) });
      if (!isJson(answer)) { text = "You are signed out. The readings stay in this browser: sign in and open this page again."; break; }
      const found = await answer.json();
      const list = kept();
      const at = list.findIndex((one) => one.tank === tank && one.reading === reading && one.way === way);
      if (at < 0) continue;
      if (answer.ok) {
        list.splice(at, 1);
        now.taken.push(now.tanks.findIndex((one) => one.id === tank));
        by("sounding").elements.taken.value = now.taken.reduce((bits, at) => bits | (1n << BigInt(at)), 0n).toString(16);
      } else if (answer.status === 409) Object.assign(list[at], { now: found.now, before: found.before });
      else list[at].wrong = found.wrong ?? "the service refuses it.";
      keep(list);
    } catch { break; }
  }
  sending = false;
  tell(text);
}

// Go on without a signal: the next tank, drawn here.
function draw(at) {
  now.at = at;
  const tank = now.tanks[at];
  const waits = kept().find((one) => one.tank === tank.id);
  const way = waits?.way ?? tank.ways[0];
  by("tank").textContent = tank.name;
  by("place").textContent = `Tank ${at + 1} of ${now.tanks.length}, without a signal`;
  by("sounding").elements.tank.value = tank.id;
  const group = by("sounding").querySelector("fieldset");
  group.replaceChildren(group.querySelector("legend"), ...tank.ways.map((name) => {
    const label = document.createElement("label");
    const input = Object.assign(document.createElement("input"), { type: "radio", name: "way", value: name, className: "hidden", checked: name === way });
    label.append(input, ` ${name}`);
    return label;
  }));
  const field = by("reading");
  by("reading-label").textContent = `${way === "empty" ? tank.ways[0] : way}, ${tank.unit}, as read, point or comma`;
  field.disabled = way === "empty";
  field.value = waits?.reading ?? "";
  field.removeAttribute("aria-invalid");
  by("answer").textContent = "No signal: what it says comes when the service is reached.";
  document.title = `Sounding: ${tank.name}`;
  if (!field.disabled) field.focus();
}
function following(from) {
  const waits = kept().map((one) => now.tanks.findIndex((tank) => tank.id === one.tank));
  const taken = new Set([...now.taken, ...waits]);
  for (let step = 1; step <= now.tanks.length; step += 1) {
    const at = (from + step) % now.tanks.length;
    if (!taken.has(at)) return at;
  }
  return (from + 1) % now.tanks.length;
}

async function ask() {
  if (running) { again = true; return; }
  running = true;
  try {
    const answer = await post({ ...Object.fromEntries(new FormData(by("sounding"))), do: "live" });
    if (!isJson(answer)) throw new Error("signed out");
    const found = new DOMParser().parseFromString((await answer.json()).html, "text/html");
    by("answer").replaceChildren(...found.body.childNodes);
  } catch {
    by("answer").textContent = "The service cannot be reached just now. “Next” keeps the reading in this browser.";
  }
  running = false;
  if (again) { again = false; ask(); }
}

async function submit(event) {
  const wanted = event.submitter?.value ?? "next";
  if (!["next", "back", "skip"].includes(wanted)) return;
  event.preventDefault();
  clearTimeout(waiting);
  const fields = Object.fromEntries(new FormData(by("sounding")));
  const tank = now.tanks[now.at];
  try {
    if (kept().length) await send();
    const answer = await post({ ...fields, do: wanted });
    if (wanted === "next" && answer.ok) keep(kept().filter((one) => one.tank !== tank.id));
    const found = new DOMParser().parseFromString(await answer.text(), "text/html");
    if (!found.getElementById("round")) { location.reload(); return; }
    if (answer.ok) history.pushState(null, "", answer.url);
    document.title = found.title;
    document.querySelector("main").replaceWith(found.querySelector("main"));
    start();
  } catch {
    const entry = { tank: tank.id, way: fields.way, reading: (fields.reading ?? "").trim(), before: tank.before };
    if (wanted === "next" && !entry.reading && entry.way !== "empty") {
      by("answer").textContent = "Type what was read, or choose “empty”.";
      return;
    }
    if (wanted === "next" && !put(entry)) {
      by("answer").textContent = "This browser keeps nothing: write the reading down, and type it again with a signal.";
      return;
    }
    const count = now.tanks.length;
    draw(wanted === "back" ? (now.at + count - 1) % count : wanted === "skip" ? (now.at + 1) % count : following(now.at));
    tell();
  }
}

function start() {
  now = round();
  by("sounding").addEventListener("submit", submit);
  by("sounding").addEventListener("input", (event) => {
    const field = by("reading");
    if (event.target.name === "way") {
      field.disabled = event.target.value === "empty";
      if (!field.disabled) field.focus();
    }
    clearTimeout(waiting);
    waiting = setTimeout(ask, event.target.name === "way" ? 0 : 80);
  });
  if (!by("reading").disabled) by("reading").focus();
  tell();
}

addEventListener("popstate", () => location.reload());
addEventListener("online", send);
addEventListener("beforeunload", (event) => { if (kept().length) event.preventDefault(); });
setInterval(() => { if (kept().some((one) => one.now === undefined && !one.wrong)) send(); }, AGAIN);
start();
if (kept().length) send();
