/** One message on the sheet of specimens. */
import { h } from "./dom.js";
import { drawSmall } from "./drops.js";
import { addressOf } from "./address.js";
import { stateLine } from "./states.js";
import { T } from "./texts.js";

const seen = new IntersectionObserver((found) => {
  for (const { target, isIntersecting } of found) if (isIntersecting) draw(target);
}, { rootMargin: "300px" });

function draw(canvas) {
  if (canvas.drawn) return;
  canvas.drawn = true;
  drawSmall(canvas, canvas.drops, canvas.parentElement.clientWidth - 8);
}

/** Draw all that is on the sheet again: the width or the colours have changed. */
export function drawAgain() {
  for (const canvas of document.querySelectorAll(".specimens canvas")) {
    canvas.drawn = false;
    seen.unobserve(canvas);
    seen.observe(canvas);
  }
}
matchMedia("(prefers-color-scheme: dark)").addEventListener("change", drawAgain);
addEventListener("resize", drawAgain);

/** @returns {any} the list item of an entry */
export function row(entry, view) {
  const shown = (name) => view.show.includes(name);
  const name = h("a.name", { href: addressOf(entry), text: entry.message || entry.file });
  const who = h("div.who", {}, h("h2", {}, name),
    shown("line") && h("p", { text: entry.line || T.home.noLine }),
    shown("file") && h("p.file", { text: entry.file }),
    entry.changed && h("p.changed", { text: `△ ${T.home.changed}` }));
  return h("li", {}, who, h("div.drops", {}, ...printed(entry, shown)), h("div.fate", {}, stateLine(entry), ...fate(entry, shown)));
}

function printed(entry, shown) {
  if (!entry.drops?.bits.length) return [h("p.fault", { text: entry.faults[0]?.message ?? "" })];
  const canvas = h("canvas", { role: "img", "aria-label": entry.drops.lines.join(" / ") });
  canvas.drops = entry.drops;
  canvas.style.width = "10px";
  canvas.style.height = `${entry.drops.raster * 3.4}px`;
  seen.observe(canvas);
  const made = entry.made_up.length ? ` (${T.home.madeUp(entry.made_up.join(", "))})` : "";
  return [canvas, shown("prints") && h("p.prints", { text: entry.drops.lines.join(" / ") + made })];
}

function fate(entry, shown) {
  const state = entry.state;
  if (!state) return [];
  return [
    shown("finding") && state.first && h("p.first", { text: state.first }),
    shown("covered") && state.said && h("p.covered", { text: state.said }),
    shown("day") && state.next_day && h("p.day", {}, `${T.home.next}: `, h("time", { datetime: state.next_day, text: state.next_day }), ` ${state.next_said}`),
  ];
}
