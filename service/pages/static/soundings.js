// What a reading says, while it is typed. Without this script "Show what it says" and "Next" do the same.
const form = document.getElementById("sounding");
const field = document.getElementById("reading");
let waiting = 0;
let running = false;
let again = false;

document.documentElement.classList.add("scripted");

async function ask() {
  if (running) { again = true; return; }
  running = true;
  const body = new URLSearchParams(new FormData(form));
  body.set("do", "live");
  try {
    const answer = await fetch(form.action, { method: "POST", body, credentials: "same-origin", redirect: "error" });
    if (!answer.headers.get("content-type")?.includes("json")) throw new Error("signed out");
    const now = new DOMParser().parseFromString((await answer.json()).html, "text/html");
    document.getElementById("answer").replaceChildren(...now.body.childNodes);
  } catch {
    document.getElementById("answer").textContent = "The service cannot be reached just now. The reading stands in its field.";
  }
  running = false;
  if (again) { again = false; ask(); }
}

form.addEventListener("input", (event) => {
  if (event.target.name === "way") {
    field.disabled = event.target.value === "empty";
    if (!field.disabled) field.focus();
  }
  clearTimeout(waiting);
  waiting = setTimeout(ask, event.target.name === "way" ? 0 : 80);
});
