// Pointer and keyboard: resting marks for the moment, a click or the Enter key holds.

main.addEventListener("pointerover", (event) => {
  if (event.pointerType === "touch") return;
  show(thingAt(event.target, POINTED) ?? held);
});
main.addEventListener("pointerleave", () => show(held));
main.addEventListener("focusin", (event) => {
  // Tick boxes are for ticking; the rest says what it is when the keyboard reaches it.
  if (event.target.matches(":focus-visible")) show(thingAt(event.target, POINTED) ?? held);
});
main.addEventListener("focusout", () => show(held));
main.addEventListener("click", (event) => {
  // The second click of two enlarges; what the first one marked stays marked.
  if (event.detail > 1 || event.target.closest("input, button, summary, details")) return;
  const link = event.target.closest("a");
  if (link && !link.closest("td, article")) return;
  const thing = thingAt(event.target, POINTED);
  if (!thing) return;
  event.preventDefault();
  hold(same(thing, held) ? null : thing);
});
document.addEventListener("keydown", (event) => {
  if (event.key !== "Escape") return;
  const listed = !hits.hidden;
  clearSearch();
  if (!listed) hold(null);
});

// Findings name things in their sentences: each name of the page becomes a way to it.
for (const word of main.querySelectorAll("article b, .unjudged td b")) {
  const kind = kindOf(word.textContent);
  if (!kind) continue;
  const link = document.createElement("a");
  link.href = "#" + encodeURIComponent(word.textContent);
  link.setAttribute("data-" + kind, word.textContent.replaceAll(" ", "\u00a0"));
  link.append(...word.childNodes);
  word.append(link);
}

// A line of half a millimetre is hard to hit: around each lies a wider one that cannot be seen.
for (const group of main.querySelectorAll(".sheet g.conductor")) {
  for (const line of group.querySelectorAll(":scope > path")) {
    const reach = line.cloneNode(false);
    for (const name of ["id", "stroke", "stroke-width", "stroke-dasharray", "fill"]) reach.removeAttribute(name);
    reach.setAttribute("class", "reach");
    group.prepend(reach);
  }
}

// One stop of the tab key a drawing; the arrow keys go from thing to thing, the conductors first.
for (const svg of main.querySelectorAll(".sheet svg")) {
  svg.setAttribute("role", "group");
  const met = new Set();
  const stops = ["conductor", "device", "symbol"].flatMap((drawn) => [...svg.querySelectorAll("g." + drawn)]).filter((group) => {
    const thing = thingAt(group, POINTED);
    if (!thing || met.has(thing.kind + thing.name)) return false;
    met.add(thing.kind + thing.name);
    return true;
  });
  stops.forEach((stop, i) => {
    stop.setAttribute("tabindex", i === 0 ? "0" : "-1");
    stop.setAttribute("role", "button");
    const thing = thingAt(stop, POINTED);
    stop.setAttribute("aria-label", thing.kind + " " + thing.name);
  });
  svg.addEventListener("keydown", (event) => {
    const at = stops.indexOf(document.activeElement);
    if (at < 0) return;
    const step = { ArrowRight: 1, ArrowDown: 1, ArrowLeft: -1, ArrowUp: -1 }[event.key];
    if (step) {
      event.preventDefault();
      const next = stops[(at + step + stops.length) % stops.length];
      stops[at].setAttribute("tabindex", "-1");
      next.setAttribute("tabindex", "0");
      next.focus();
    } else if (event.key === "Enter" || event.key === " ") {
      event.preventDefault();
      const thing = thingAt(stops[at], POINTED);
      hold(same(thing, held) ? null : thing);
    }
  });
}
