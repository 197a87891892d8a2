"use strict";
// Judges what is typed into the table of measurements, and offers it as a readings file. Nothing leaves this page.
(function () {
  const NUMBER = /^[+-]?(\d+(\.\d*)?|\.\d+)(e[+-]?\d+)?$/i;
  const tables = Array.from(document.querySelectorAll(".measurements"));

  function judged(row, typed) {
    if (typed === "") return "";
    if (typed.includes(",")) return "not taken: write 6.5, not 6,5";
    if (!NUMBER.test(typed)) return "not taken: not a number";
    const { low, high } = row.dataset;
    if (low === undefined && high === undefined) return "noted";
    const value = Number(typed);
    return (low === undefined || value >= Number(low)) && (high === undefined || value <= Number(high)) ? "passes" : "outside";
  }

  function quoted(text) {
    const escaped = text.replace(/[\u0000-\u001f"\\\u007f]/g, (c) =>
      c === '"' || c === "\\" ? "\\" + c : "\\u" + c.charCodeAt(0).toString(16).toUpperCase().padStart(4, "0"));
    return '"' + escaped + '"';
  }

  // all tables that belong to one readings file go into one file
  function readings(head) {
    let text = head === "" || head.endsWith("\n") ? head : head + "\n";
    let left = 0, taken = 0;
    for (const table of tables.filter((t) => t.dataset.head === head)) {
      for (const row of table.querySelectorAll("tr[data-id]")) {
        const typed = row.querySelector("input").value.trim();
        if (typed === "") continue;
        if (!NUMBER.test(typed)) { left += 1; continue; }
        taken += 1;
        text += "[reading." + quoted(row.dataset.id) + "]\nvalue = " + quoted((typed + " " + row.dataset.unit).trim()) + "\n";
      }
    }
    return { text, left, taken };
  }

  function offer(text) {
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/toml" }));
    link.download = "readings.toml";
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10000);
  }

  for (const table of tables) {
    for (const row of table.querySelectorAll("tr[data-id]")) {
      const field = row.querySelector("input"), result = row.querySelector("output");
      field.addEventListener("input", () => {
        const typed = field.value.trim();
        const words = judged(row, typed);
        row.querySelector(".line").textContent = typed;
        result.textContent = words;
        result.className = words.split(":")[0].replace(" ", "-");
        field.setAttribute("aria-invalid", String(words.startsWith("not taken")));
      });
    }
    const tools = table.querySelector(".tools"), said = tools.querySelector("[role=status]");
    tools.hidden = false;
    tools.querySelector("button").addEventListener("click", () => {
      const { text, left, taken } = readings(table.dataset.head);
      said.textContent = taken + (taken === 1 ? " reading" : " readings") + (left ? ", " + left + " left out: not a number" : "");
      offer(text);
    });
  }
})();
