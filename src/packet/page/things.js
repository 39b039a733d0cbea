// Every place of every thing. What a thing is stands in its data- attributes, in drawings and lists alike.

// In this order a place is taken for one of the things it names.
const KINDS = ["conductor", "cable", "cavity", "connector", "joint", "ground", "supply", "device", "hole", "run",
  "place", "part", "circuit", "barrier", "zone"];
// Ground on which other things stand is not pointed at by resting the pointer there.
const POINTED = KINDS.slice(0, KINDS.indexOf("barrier"));
const main = document.querySelector("main");

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

// The places inside no other place of the same thing: what a person would count.
const outermost = (elements) => {
  const all = new Set(elements);
  return elements.filter((element) => {
    for (let at = element.parentElement; at && at !== main; at = at.parentElement) if (all.has(at)) return false;
    return true;
  });
};

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
