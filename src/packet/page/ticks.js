// Boxes to tick. What is done stays in this browser, under the name of this packet.

const store = "fairlead:" + main.dataset.packet + ":";
const recall = (list) => {
  try { return new Set(JSON.parse(localStorage.getItem(store + list) ?? "[]")); } catch { return new Set(); }
};
const keep = (list, done) => {
  try { localStorage.setItem(store + list, JSON.stringify([...done])); } catch { /* a browser may forbid it */ }
};
for (const table of main.querySelectorAll("table[data-list]")) {
  const list = table.dataset.list;
  const boxes = [...table.querySelectorAll("tr[data-row] input[type=checkbox]")];
  if (!boxes.length) continue;
  const rowOf = (box) => box.closest("tr");
  const progress = main.querySelector(`output[data-progress="${list}"]`);
  // A row may have a second box, for what is done to it later.
  const name = (box) => rowOf(box).dataset.row + (box.dataset.also ? " " + box.dataset.also : "");
  const refresh = () => {
    for (const box of boxes) {
      const all = [...rowOf(box).querySelectorAll("input[type=checkbox]")];
      rowOf(box).classList.toggle("is-done", all.every((b) => b.checked));
    }
    progress.textContent = `${boxes.filter((b) => b.checked).length} of ${boxes.length} done`;
  };
  const save = () => {
    keep(list, boxes.filter((b) => b.checked).map(name));
    refresh();
  };
  const done = recall(list);
  for (const box of boxes) {
    box.checked = done.has(name(box));
    box.addEventListener("change", save);
  }
  main.querySelector(`button[data-clear="${list}"]`).addEventListener("click", () => {
    for (const box of boxes) box.checked = false;
    save();
  });
  refresh();
}
