"use strict";
// Ties the drawings, lists and findings of one page together. What a thing is stands in its data- attributes, in
// drawings and lists alike: pointing at one place marks all places of that thing. Nothing is fetched or sent; tick
// marks stay in this browser.

(() => {
  // In this order a place is taken for one of the things it names.
  const KINDS = ["conductor", "cable", "cavity", "connector", "joint", "ground", "supply", "device", "hole", "run",
    "place", "part", "circuit", "barrier", "zone"];
  // Ground on which other things stand is not pointed at by resting the pointer there.
  const POINTED = KINDS.slice(0, KINDS.indexOf("barrier"));
  const main = document.querySelector("main");

  // ---- every place of every thing -------------------------------------------------------------------------------

  const places = new Map(); // "kind\nname" -> elements in the order of the page
  const kindsOf = new Map(); // name -> kinds
  const named = []; // elements that name things without their kind: findings

  // Names of one kind on one element; a space inside a name is written as a no-break space.
  const attribute = (element, kind) => {
    const value = element.getAttribute("data-" + kind);
    return value === null ? [] : value.split(" ").map((word) => word.replaceAll("\u00a0", " "));
  };
  const enter = (element, kind, name) => {
    const key = kind + "\n" + name;
    if (!places.has(key)) places.set(key, []);
    places.get(key).push(element);
    if (!kindsOf.has(name)) kindsOf.set(name, new Set());
    kindsOf.get(name).add(kind);
  };
  for (const kind of KINDS) {
    for (const element of main.querySelectorAll(`[data-${kind}]`)) {
      for (const name of attribute(element, kind)) enter(element, kind, name);
    }
  }
  for (const element of main.querySelectorAll("[data-named]")) named.push(element);

  const kindOf = (name) => KINDS.find((kind) => kindsOf.get(name)?.has(kind));
  const ownPlaces = (thing) => [
    ...(places.get(thing.kind + "\n" + thing.name) ?? []),
    ...named.filter((element) => attribute(element, "named").includes(thing.name)),
  ];
  // A hole or a run stands for the conductors in it too.
  const placesOf = (thing) => {
    const own = ownPlaces(thing);
    if (thing.kind !== "hole" && thing.kind !== "run") return own;
    const inside = new Set(own.flatMap((element) => attribute(element, "conductor")));
    const theirs = [...inside].flatMap((name) => places.get("conductor\n" + name) ?? []);
    // Not what they share with others: their other holes and runs.
    return [...own, ...theirs.filter((element) => attribute(element, "conductor").length === 1)];
  };

  // The thing that an element stands for: its own, else that of what holds it. An element that names several things
  // of a kind stands for none of them.
  const thingAt = (element, kinds) => {
    for (let at = element; at && at !== main; at = at.parentElement) {
      for (const kind of kinds) {
        const names = attribute(at, kind);
        if (names.length === 1) return { kind, name: names[0] };
      }
    }
    return null;
  };

  // ---- marking --------------------------------------------------------------------------------------------------

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
  const hold = (thing, leap) => {
    held = thing;
    shown = undefined;
    show(thing);
    const hash = thing ? "#" + encodeURIComponent(thing.name) : "#";
    if (location.hash !== hash && !(hash === "#" && location.hash === "")) {
      history.replaceState(null, "", thing ? hash : location.pathname + location.search);
    }
    if (thing && leap) bring(placesOf(thing)[0]);
  };
  const bring = (element) => {
    if (!element) return;
    for (let at = element.parentElement; at; at = at.parentElement) if (at.tagName === "DETAILS") at.open = true;
    element.scrollIntoView({ block: "center", inline: "center" });
  };

  // The bar says what is marked and leads to each section where it stands.
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
    const sections = new Map();
    for (const element of placesOf(thing)) {
      const section = element.closest("section");
      const row = element.closest("tr, article") ?? (element.ownerSVGElement ?? element);
      if (!sections.has(section)) sections.set(section, new Set());
      sections.get(section).add(row);
    }
    for (const [section, rows] of sections) {
      const title = section.querySelector("h2").textContent;
      const count = rows.size > 1 ? ` (${rows.size})` : "";
      const link = piece("a", title + count);
      link.href = "#" + section.id;
      link.addEventListener("click", (event) => {
        event.preventDefault();
        bring([...rows][0]);
      });
    }
    if (same(thing, held)) {
      const release = piece("button", "release (Esc)");
      release.type = "button";
      release.addEventListener("click", () => hold(null));
    }
  };

  // ---- pointer and keyboard -------------------------------------------------------------------------------------

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
    if (event.target.closest("input, button, summary, details")) return;
    const link = event.target.closest("a");
    if (link && !link.closest("td, article")) return;
    const thing = thingAt(event.target, POINTED);
    if (!thing) return;
    event.preventDefault();
    hold(same(thing, held) ? null : thing);
  });
  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape") {
      if (!hits.hidden) hideHits();
      else hold(null);
    }
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

  // One stop of the tab key a drawing; the arrow keys go from line to line.
  for (const svg of main.querySelectorAll(".sheet svg")) {
    svg.setAttribute("role", "group");
    const stops = [...svg.querySelectorAll("g.conductor")].filter((line) => thingAt(line, POINTED));
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

  // ---- addresses that name a thing: index.html#E1A20 ------------------------------------------------------------

  const follow = () => {
    let name = location.hash.slice(1);
    try { name = decodeURIComponent(name); } catch { /* taken as it stands */ }
    if (name === "" || document.getElementById(name)) return;
    const known = kindsOf.has(name) ? name : [...kindsOf.keys()].find((n) => n.toLowerCase() === name.toLowerCase());
    if (known !== undefined) hold({ kind: kindOf(known), name: known }, true);
  };
  addEventListener("hashchange", follow);

  // ---- search ---------------------------------------------------------------------------------------------------

  const search = document.getElementById("search");
  const hits = document.getElementById("hits");
  const MOST = 14;
  const hideHits = () => { hits.hidden = true; };

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
      const kind = kindOf(name);
      hit(name, kind, () => hold({ kind, name }, true));
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

  // ---- tick boxes -----------------------------------------------------------------------------------------------

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
    const rowOf = (box) => box.closest("tr");
    const progress = main.querySelector(`output[data-progress="${list}"]`);
    const refresh = () => {
      for (const box of boxes) rowOf(box).classList.toggle("is-done", box.checked);
      progress.textContent = `${boxes.filter((b) => b.checked).length} of ${boxes.length} done`;
    };
    const save = () => {
      keep(list, boxes.filter((b) => b.checked).map((b) => rowOf(b).dataset.row));
      refresh();
    };
    const done = recall(list);
    for (const box of boxes) {
      box.checked = done.has(rowOf(box).dataset.row);
      box.addEventListener("change", save);
    }
    main.querySelector(`button[data-clear="${list}"]`).addEventListener("click", () => {
      for (const box of boxes) box.checked = false;
      save();
    });
    refresh();
  }

  // ---- size of a drawing ----------------------------------------------------------------------------------------

  for (const section of main.querySelectorAll("section.drawing")) {
    const svg = section.querySelector("svg");
    let percent = 100;
    for (const button of section.querySelectorAll("button[data-zoom]")) {
      button.addEventListener("click", () => {
        const factor = { in: 1.25, out: 0.8, fit: 0 }[button.dataset.zoom];
        percent = factor === 0 ? 100 : Math.min(800, Math.max(40, percent * factor));
        svg.style.width = percent + "%";
      });
    }
  }

  tell(null);
  follow();
})();
