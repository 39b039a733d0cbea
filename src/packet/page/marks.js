// Marks: one thing at a time is marked wherever it stands, and the bar tells of it.

let held = null; // the thing that stays marked
let shown = null; // the thing that is marked now
let lit = [];
let halos = [];
const strip = document.getElementById("marked");
const HINT = "Point at a conductor or a device, in a drawing or in a list, and it is marked wherever it stands. A click holds the mark.";
const same = (a, b) => a === b || (a && b && a.kind === b.kind && a.name === b.name);

const clear = () => {
  for (const element of lit) element.classList.remove("is-marked");
  for (const halo of halos) halo.remove();
  for (const svg of main.querySelectorAll("svg.has-mark")) svg.classList.remove("has-mark");
  for (const tab of main.querySelectorAll(".turn .has-mark")) tab.classList.remove("has-mark");
  lit = [];
  halos = [];
};
const light = (thing) => {
  for (const element of placesOf(thing)) {
    element.classList.add("is-marked");
    lit.push(element);
    const svg = element.ownerSVGElement;
    if (!svg) continue;
    svg.classList.add("has-mark");
    tabOf(svg.closest(".sheet"))?.classList.add("has-mark");
    if (element.classList.contains("label") || element.querySelector(":scope > path, :scope > rect, :scope > circle") === null) continue;
    const halo = element.cloneNode(true);
    halo.removeAttribute("id");
    halo.removeAttribute("tabindex");
    halo.setAttribute("aria-hidden", "true");
    halo.setAttribute("class", "halo");
    for (const other of halo.querySelectorAll("text, .reach")) other.remove();
    for (const line of halo.children) {
      line.setAttribute("stroke-width", String(Number(line.getAttribute("stroke-width") ?? 0) + 2.1));
    }
    for (const name of [...halo.attributes].map((a) => a.name)) if (name.startsWith("data-")) halo.removeAttribute(name);
    element.before(halo);
    halos.push(halo);
  }
};
const show = (thing) => {
  if (same(thing, shown)) return;
  clear();
  shown = thing;
  if (thing) light(thing);
  tell(thing);
};
// The address of a thing: its name; with the kind before it where another kind has that name first.
const addressOf = ({ kind, name }) => "#" + encodeURIComponent(kind === kindOf(name) ? name : kind + ":" + name);

// `step` writes the mark into the history, so that "back" leads to the one before it.
const hold = (thing, { leap = false, step = true } = {}) => {
  held = thing;
  shown = undefined;
  show(thing);
  if (step && thing && location.hash !== addressOf(thing)) history.pushState({ mark: true }, "", addressOf(thing));
  // Letting go is no place to come back to.
  if (step && !thing && location.hash !== "") history.replaceState(null, "", location.pathname + location.search);
  if (!thing) return;
  turnToMarks();
  if (leap) bring(placesOf(thing)[0]);
};
const bring = (element) => {
  if (!element) return;
  turnTo(element.closest(".sheet"));
  for (let at = element.parentElement; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
  element.scrollIntoView({ block: "center", inline: "center" });
};

// The bar says what is marked, how often on each paper, and leads there: with each further click to the next place.
const tell = (thing) => {
  strip.replaceChildren();
  strip.classList.toggle("on", Boolean(thing));
  if (!thing) {
    strip.textContent = HINT;
    return;
  }
  const piece = (tag, text, name) => {
    const element = document.createElement(tag);
    element.textContent = text;
    if (name) element.className = name;
    strip.append(element);
    return element;
  };
  piece("b", thing.name);
  piece("span", thing.kind, "kind");
  const papers = new Map();
  for (const element of outermost(placesOf(thing))) {
    const section = element.closest("section");
    // A row or a finding is one place, however often it says the name.
    if (!papers.has(section)) papers.set(section, new Set());
    papers.get(section).add(element.closest("tr, article") ?? element);
  }
  for (const [section, found] of papers) {
    const title = section.querySelector("h2").textContent;
    const link = piece("a", `${title} ${found.size}`);
    link.href = "#" + section.id;
    link.setAttribute("aria-label", `${title}, ${found.size} ${found.size === 1 ? "place" : "places"}`);
    let next = 0;
    link.addEventListener("click", (event) => {
      event.preventDefault();
      bring([...found][next++ % found.size]);
    });
  }
  if (!same(thing, held)) return;
  for (const kind of KINDS) {
    if (kind === thing.kind || !kindsOf.get(thing.name)?.has(kind) || kind === "cavity") continue;
    const other = piece("button", kind + " " + thing.name);
    other.type = "button";
    other.addEventListener("click", () => hold({ kind, name: thing.name }));
  }
  const release = piece("button", "release (Esc)", "release");
  release.type = "button";
  release.addEventListener("click", () => hold(null));
};
