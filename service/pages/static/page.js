// Small comforts; every page works without them.

// Sort the tank list in place instead of loading the page again.
for (const orders of document.querySelectorAll("[data-sorts]")) {
  const body = document.getElementById(orders.dataset.sorts)?.tBodies[0];
  const link = orders.querySelector("a");
  const now = orders.querySelector("[data-now]");
  link?.addEventListener("click", (event) => {
    event.preventDefault();
    const byCost = link.search.includes("cost");
    const key = (row) => (byCost ? -Number(row.dataset.cost) : Number(row.dataset.place));
    body.append(...[...body.rows].sort((a, b) => key(a) - key(b)));
    const was = now.textContent;
    now.textContent = link.textContent.toLowerCase();
    link.textContent = was[0].toUpperCase() + was.slice(1);
    link.search = byCost ? "?order=ship" : "?order=cost";
  });
}

// A saved condition needs no copy of what was typed.
const done = new URLSearchParams(location.search).get("done");
if (done === "kept") localStorage.removeItem(`typed:${location.pathname}/edit`);
if (done === "entered") for (const name of Object.keys(localStorage)) if (name.startsWith("typed:/vessels/")) localStorage.removeItem(name);

// Read the righting lever at any heel: a slider under the plot, and a line that follows it.
for (const figure of document.querySelectorAll("[data-levers]")) {
  const svg = figure.querySelector("svg");
  const heels = figure.dataset.heels.trim().split(" ").map(Number);
  const levers = figure.dataset.levers.trim().split(" ");
  const axis = svg?.dataset.axis?.split(" ").map(Number);
  if (!axis) continue;
  const [left, right, top, bottom, end] = axis;
  const line = document.createElementNS(svg.namespaceURI, "line");
  line.setAttribute("class", "hair");
  line.setAttribute("y1", top);
  line.setAttribute("y2", bottom);
  const slider = Object.assign(document.createElement("input"), { type: "range", min: 0, max: heels.filter((h) => h <= end).length - 1, step: 1, value: 0 });
  const read = document.createElement("span");
  const label = document.createElement("label");
  label.className = "reading";
  label.append("Read the curve ", slider, read);
  const show = () => {
    const at = Number(slider.value);
    const x = left + ((right - left) * heels[at]) / end;
    line.setAttribute("x1", x);
    line.setAttribute("x2", x);
    if (!line.isConnected) svg.append(line);
    const beyond = figure.dataset.end && heels[at] > Number(figure.dataset.end) ? ", does not count" : "";
    read.textContent = `${heels[at]}°: ${levers[at]} ${figure.dataset.unit}${beyond}`;
    slider.setAttribute("aria-valuetext", read.textContent);
  };
  slider.addEventListener("input", show);
  svg.addEventListener("pointermove", (event) => {
    const box = svg.getBoundingClientRect();
    const x = ((event.clientX - box.left) / box.width) * svg.viewBox.baseVal.width;
    const heel = ((x - left) / (right - left)) * end;
    slider.value = heels.reduce((best, h, i) => (h <= end && Math.abs(h - heel) < Math.abs(heels[best] - heel) ? i : best), 0);
    show();
  });
  figure.append(label);
}

// "Only these" shows what there is to choose from.
for (const some of document.querySelectorAll("[name=scope][value=some]")) {
  some.addEventListener("change", () => {
    for (const list of some.closest("fieldset").querySelectorAll("details")) list.open = true;
  });
}

// What moves GM and drafts: worked out when it is opened, and no sooner.
for (const part of document.querySelectorAll("details[data-lines]")) {
  part.addEventListener("toggle", async () => {
    if (!part.open || part.dataset.asked) return;
    part.dataset.asked = "yes";
    const place = document.createElement("div");
    place.setAttribute("role", "status");
    place.textContent = "Working it out …";
    part.append(place);
    try {
      const answer = await fetch(part.dataset.lines, { credentials: "same-origin", redirect: "error" });
      if (!answer.ok) throw new Error(answer.statusText);
      const found = new DOMParser().parseFromString(await answer.text(), "text/html");
      place.replaceChildren(...found.body.childNodes);
    } catch {
      place.textContent = "It could not be worked out just now; the page of its own says why.";
      delete part.dataset.asked;
    }
  });
}

// What would do takes seconds: the page is there at once, says that it waits, and shows what was found.
for (const waiting of document.querySelectorAll("[data-found]")) {
  const status = waiting.querySelector("[role=status]");
  const began = Date.now();
  const clock = setInterval(() => {
    status.textContent = `${status.dataset.still} ${Math.round((Date.now() - began) / 1000)} s so far.`;
  }, 5000);
  const show = async () => {
    try {
      const answer = await fetch(waiting.dataset.found, { credentials: "same-origin", redirect: "error" });
      if (!answer.ok) throw new Error(answer.statusText);
      const parsed = new DOMParser().parseFromString(await answer.text(), "text/html");
      const section = parsed.querySelector("section");
      waiting.querySelector("section").replaceWith(section);
      status.className = "hidden";
      status.textContent = section.dataset.said;
    } catch {
      status.textContent = status.dataset.failed;
    } finally {
      clearInterval(clock);
    }
  };
  show();
}

// A list of ships to choose from follows what is typed beside it; what is chosen stays in view.
for (const field of document.querySelectorAll("[data-narrows]")) {
  const list = document.getElementById(field.dataset.narrows);
  field.addEventListener("keydown", (event) => {
    if (event.key === "Enter") event.preventDefault();
  });
  field.addEventListener("input", () => {
    const sought = field.value.trim().toLowerCase();
    if (sought) list.open = true;
    for (const label of list.querySelectorAll("label")) {
      label.hidden = !label.querySelector("input").checked && !label.textContent.toLowerCase().includes(sought);
    }
  });
}
