// Paste a block into the grid: its fields go into the cells to the right and below. Every form works without this.
for (const table of document.querySelectorAll("table[data-paste]")) {
  table.addEventListener("paste", (event) => {
    const cell = event.target.closest("td");
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!cell || !/[\t\n]/.test(text.trimEnd())) return;
    event.preventDefault();
    const rows = [...table.rows];
    const top = rows.indexOf(cell.parentElement);
    text.replace(/\r/g, "").replace(/\n$/, "").split("\n").forEach((line, down) => {
      line.split("\t").forEach((field, right) => {
        const input = rows[top + down]?.cells[cell.cellIndex + right]?.querySelector("input:not([type=hidden]), select");
        if (input) input.value = field.trim();
      });
    });
  });
}
