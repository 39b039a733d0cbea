// Drawings of several sheets: one is in view, a row of tabs chooses. Without this script all stand below each other.

const sheetsOf = (section) => [...section.querySelectorAll(".sheet")];
const tabOf = (sheet) => document.querySelector(`.turn [aria-controls="${sheet.id}"]`);

const turnTo = (sheet) => {
  if (!sheet) return;
  const section = sheet.closest("section");
  for (const other of sheetsOf(section)) {
    other.hidden = other !== sheet;
    const tab = tabOf(other);
    if (tab) {
      tab.setAttribute("aria-selected", String(other === sheet));
      tab.tabIndex = other === sheet ? 0 : -1;
    }
    for (const file of section.querySelectorAll(`[data-file="${other.id}"]`)) file.hidden = other !== sheet;
  }
};
// Each drawing turns to a sheet that shows what is held, unless the one in view does.
const turnToMarks = () => {
  for (const section of main.querySelectorAll("section.drawing")) {
    const marked = sheetsOf(section).filter((sheet) => sheet.querySelector(".is-marked"));
    if (marked.length > 0 && marked.every((sheet) => sheet.hidden)) turnTo(marked[0]);
  }
};

for (const section of main.querySelectorAll("section.drawing")) {
  const tabs = [...section.querySelectorAll(".turn [role=tab]")];
  turnTo(section.querySelector(".sheet"));
  tabs.forEach((tab, i) => {
    tab.addEventListener("click", () => turnTo(document.getElementById(tab.getAttribute("aria-controls"))));
    tab.addEventListener("keydown", (event) => {
      const to = { ArrowRight: i + 1, ArrowLeft: i - 1, Home: 0, End: tabs.length - 1 }[event.key];
      if (to === undefined) return;
      event.preventDefault();
      const next = tabs[(to + tabs.length) % tabs.length];
      next.focus();
      next.click();
    });
  });
}
