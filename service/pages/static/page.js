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
