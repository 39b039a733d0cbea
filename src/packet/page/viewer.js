// Panning and zooming. The sheet is a window on a drawing that is never smaller than it, and the window scrolls: so the
// browser keeps the drawing inside, and what has the keyboard focus in view. Nothing glides, for those whom motion
// makes ill. The plain wheel stays the page's; with Ctrl, and so by pinching on a touch pad, it zooms.

const LARGEST = 16;
const STEP = 1.25;
const PAN = 80; // pixels of one press of an arrow key
const STILL = 4; // pixels that a hand may shake in a click

for (const sheet of main.querySelectorAll(".sheet")) {
  const svg = sheet.querySelector("svg");
  const size = sheet.closest("section").querySelector("output.size");
  let scale = 1;

  // The spot of the drawing under (x, y) of the window stays there; the middle where none is given.
  const zoom = (wanted, x, y) => {
    const frame = sheet.getBoundingClientRect();
    const [dx, dy] = [(x ?? frame.left + frame.width / 2) - frame.left, (y ?? frame.top + frame.height / 2) - frame.top];
    const now = Math.min(LARGEST, Math.max(1, wanted));
    const [left, top] = [sheet.scrollLeft + dx, sheet.scrollTop + dy];
    const factor = now / scale;
    scale = now < 1.01 ? 1 : now;
    if (scale === 1) svg.removeAttribute("style");
    else svg.style.width = scale * 100 + "%";
    sheet.classList.toggle("is-large", scale > 1);
    // What rounding leaves over the window, less than a pixel, is nothing to move.
    if (scale === 1) sheet.scrollTo(0, 0);
    else sheet.scrollTo(left * factor - dx, top * factor - dy);
    size.textContent = Math.round(scale * 100) + " %";
  };
  sheet.addEventListener("zoom", (event) => zoom({ in: scale * STEP, out: scale / STEP, fit: 1, keep: scale }[event.detail]));

  sheet.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    zoom(scale * Math.exp(-Math.max(-100, Math.min(100, event.deltaY)) / 250), event.clientX, event.clientY);
  }, { passive: false });

  sheet.addEventListener("dblclick", (event) => {
    event.preventDefault();
    zoom(event.shiftKey ? scale / 2 : scale * 2, event.clientX, event.clientY);
  });

  sheet.addEventListener("keydown", (event) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const way = { "+": "in", "=": "in", "-": "out", "\u2212": "out", "0": "fit" }[event.key];
    const pan = { ArrowLeft: [-PAN, 0], ArrowRight: [PAN, 0], ArrowUp: [0, -PAN], ArrowDown: [0, PAN] }[event.key];
    if (way) sheet.dispatchEvent(new CustomEvent("zoom", { detail: way }));
    // On a thing in the drawing the arrows lead to the next thing; on a whole sheet they scroll the page.
    else if (pan && event.target === sheet && scale > 1) sheet.scrollBy(...pan);
    else return;
    event.preventDefault();
  });

  // A finger scrolls the window without help.
  let drag = null;
  sheet.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "touch" || event.button !== 0 || scale === 1) return;
    drag = { x: event.clientX, y: event.clientY, left: sheet.scrollLeft, top: sheet.scrollTop, moved: false };
  });
  sheet.addEventListener("pointermove", (event) => {
    if (!drag) return;
    const [dx, dy] = [event.clientX - drag.x, event.clientY - drag.y];
    if (!drag.moved && Math.hypot(dx, dy) < STILL) return;
    if (!drag.moved) sheet.setPointerCapture(event.pointerId);
    drag.moved = true;
    sheet.classList.add("is-dragged");
    sheet.scrollTo(drag.left - dx, drag.top - dy);
  });
  const drop = () => {
    // The click that ends a drag marks nothing.
    if (drag?.moved) {
      const swallow = (event) => event.stopPropagation();
      sheet.addEventListener("click", swallow, { capture: true, once: true });
      setTimeout(() => sheet.removeEventListener("click", swallow, { capture: true }));
    }
    drag = null;
    sheet.classList.remove("is-dragged");
  };
  sheet.addEventListener("pointerup", drop);
  sheet.addEventListener("pointercancel", drop);
}

for (const section of main.querySelectorAll("section.drawing")) {
  const send = (detail) => section.querySelector(".sheet:not([hidden])").dispatchEvent(new CustomEvent("zoom", { detail }));
  for (const button of section.querySelectorAll("button[data-zoom]")) {
    button.addEventListener("click", () => send(button.dataset.zoom));
  }
  // Another sheet has a size of its own.
  for (const tab of section.querySelectorAll(".turn [role=tab]")) tab.addEventListener("click", () => send("keep"));
}
