// Addresses that name a thing: index.html#E1A20, or index.html#circuit:CHT1 where several kinds have one name.

const thingNamed = (text) => {
  if (kindsOf.has(text)) return { kind: kindOf(text), name: text };
  const [kind, name] = [text.slice(0, text.indexOf(":")), text.slice(text.indexOf(":") + 1)];
  if (kindsOf.get(name)?.has(kind)) return { kind, name };
  const other = [...kindsOf.keys()].find((n) => n.toLowerCase() === text.toLowerCase());
  return other === undefined ? null : { kind: kindOf(other), name: other };
};
const follow = () => {
  let name = location.hash.slice(1);
  try { name = decodeURIComponent(name); } catch { /* taken as it stands */ }
  if (name === "") {
    hold(null, { step: false });
    return;
  }
  const thing = thingNamed(name);
  // Coming back to a mark, the browser itself restores what was in view.
  if (thing) hold(thing, { leap: !history.state?.mark, step: false });
  else if (document.getElementById(name)?.matches(".sheet")) bring(document.getElementById(name));
};
addEventListener("hashchange", follow);
