// Search: names first, the rows that hold the words where no name does.

const search = document.getElementById("search");
const hits = document.getElementById("hits");
const MOST = 14;
const hideHits = () => { hits.hidden = true; };
const clearSearch = () => {
  search.value = "";
  hideHits();
};

const hit = (text, remark, go) => {
  const item = document.createElement("li");
  const button = document.createElement("button");
  button.type = "button";
  for (const [tag, words] of [["span", text], ["span", remark]]) {
    const part = document.createElement(tag);
    part.textContent = words;
    button.append(part);
  }
  button.lastChild.className = "quiet";
  button.addEventListener("click", () => {
    hideHits();
    go();
  });
  item.append(button);
  hits.append(item);
};
const find = () => {
  hits.replaceChildren();
  const wanted = search.value.trim().toLowerCase();
  hits.hidden = wanted === "";
  if (wanted === "") return;
  const rank = (name) => {
    const low = name.toLowerCase();
    return low === wanted ? 0 : low.startsWith(wanted) ? 1 : low.includes(wanted) ? 2 : 3;
  };
  const names = [...kindsOf.keys()].filter((n) => rank(n) < 3);
  names.sort((a, b) => rank(a) - rank(b) || a.length - b.length || (a < b ? -1 : 1));
  for (const name of names.slice(0, MOST)) {
    // A cavity that is named as its device is no second thing.
    const kinds = KINDS.filter((kind) => kindsOf.get(name).has(kind));
    for (const kind of kinds.filter((k) => kinds.length === 1 || k !== "cavity")) {
      hit(name, kind, () => hold({ kind, name }, { leap: true }));
    }
  }
  // What is no name may stand in a row.
  const rows = names.length > 0 ? [] : [...main.querySelectorAll("tr[data-row], article.finding")];
  for (const row of rows.filter((r) => r.textContent.toLowerCase().includes(wanted)).slice(0, MOST)) {
    const title = row.closest("section").querySelector("h2").textContent;
    const text = row.textContent.trim().replace(/\s+/g, " ");
    hit(text.length > 60 ? text.slice(0, 59) + "…" : text, title, () => {
      const thing = thingAt(row, KINDS);
      if (thing) hold(thing);
      bring(row);
    });
  }
  if (!hits.firstChild) {
    const none = document.createElement("li");
    none.className = "none";
    none.textContent = "nothing of that name";
    hits.append(none);
  }
};
search.addEventListener("input", find);
search.addEventListener("focus", find);
search.parentElement.addEventListener("keydown", (event) => {
  const buttons = [...hits.querySelectorAll("button")];
  const at = buttons.indexOf(document.activeElement);
  if (event.key === "Enter" && document.activeElement === search) {
    event.preventDefault();
    buttons[0]?.click();
  } else if (event.key === "ArrowDown" || event.key === "ArrowUp") {
    event.preventDefault();
    const next = event.key === "ArrowDown" ? at + 1 : at - 1;
    (next < 0 ? search : buttons[Math.min(next, buttons.length - 1)])?.focus();
  }
});
document.addEventListener("pointerdown", (event) => {
  if (!search.parentElement.contains(event.target)) hideHits();
});
