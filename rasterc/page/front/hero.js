/** The drops of a message, drawn to scale with the dimensions of the code; they can be clicked. */
import { action, h, put } from "./dom.js";
import { colour, drawDrops, grid, sized } from "./drops.js";
import { T } from "./texts.js";

const EDGE = { left: 6, top: 12 };
const BELOW = 42;

export class Hero {
  /** @param {(box: any, char: number) => void} clicked told what was clicked */
  constructor(clicked) {
    this.clicked = clicked;
    this.canvas = h("canvas", { role: "img", onclick: (event) => this.click(event) });
    this.hold = h("div.hold", { tabIndex: 0, role: "group", "aria-label": T.message.drops }, this.canvas);
    this.fields = h("div.fields", { role: "group", "aria-label": T.message.fields });
    this.note = h("p.fault", { role: "status" });
    this.product = h("input", { type: "checkbox", onchange: () => this.draw() });
    this.lines = h("figcaption.prints");
    this.element = h("figure.hero", {}, this.hold, this.note, this.lines);
    this.under = h("div.under", {}, this.fields, h("label", {}, this.product, " ", T.message.onProduct));
    new ResizeObserver(() => this.draw()).observe(this.hold);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
    this.marks = [];
    this.risks = [];
  }

  /** Show a print; without one the last stays, and is said to be old. */
  show(drops) {
    this.stale = !drops?.bits.length;
    if (!this.stale) this.drops = drops;
    this.note.textContent = this.stale ? T.message.noDrops : "";
    this.element.classList.toggle("stale", this.stale);
    if (!this.stale) this.draw();
    put(this.lines, this.stale ? "" : drops.lines.join(" / "));
    const named = this.stale ? [] : drops.boxes.filter((box) => box.place && (box.name || box.text.trim()));
    put(this.fields, named.map((box) => this.field(box)));
    this.canvas.setAttribute("aria-label", this.drops ? T.message.print(this.drops.lines) : T.message.noDrops);
  }

  field(box) {
    const text = box.name || T.message.literal;
    const pressed = action(text, () => this.clicked(box, -1), { "aria-label": T.message.mark(`${text} ${box.text}`) });
    pressed.classList.toggle("literal", !box.name);
    return h("span.field", {}, pressed, h("span", { text: box.text }));
  }

  /** Mark strokes: pairs of a box and a character of it, -1 for all. */
  mark(marks) {
    this.marks = marks;
    this.draw();
  }

  /** Show which characters are at risk. */
  risk(risks) {
    this.risks = risks;
    this.draw();
  }

  draw() {
    const drops = this.drops;
    if (!drops || !this.hold.clientWidth) return;
    const room = this.hold.clientWidth - 70;
    const stroke = Math.max(2, Math.min(8.5, room / (drops.bits.length + 2)));
    const place = (this.place = grid(drops, stroke, EDGE));
    const context = sized(this.canvas, place.width + 62, place.base + BELOW);
    const { ink, surface } = this.product.checked ? drops.sizes : { ink: colour("ink"), surface: null };
    if (surface) {
      context.fillStyle = surface;
      context.fillRect(0, EDGE.top - 10, place.width + 4, place.base - EDGE.top + place.radius + 20);
    }
    this.drawMarks(context, place);
    drawDrops(context, drops, place, ink);
    this.drawRisks(context, place);
    this.dimensions(context, place);
  }

  drawMarks(context, place) {
    context.fillStyle = `color-mix(in srgb, ${colour("mark")} 24%, transparent)`;
    for (const [box, char] of this.marks) {
      const [from, to] = extent(box, char);
      const x = place.x(from, box.bottom) - place.radius - 2;
      const width = (to - from - 1) * place.stroke + 2 * place.radius + 4 + place.lean * (box.top - 1 - box.bottom);
      context.fillRect(x, place.y(box.top - 1) - place.radius - 3, width, (box.top - box.bottom - 1) * place.row + 2 * place.radius + 6);
    }
  }

  drawRisks(context, place) {
    const worst = Math.max(...this.risks.map((one) => one.chance), 1e-9);
    context.strokeStyle = colour("mark");
    for (const one of this.risks) {
      const cell = this.cellOf(one);
      if (!cell) continue;
      const [from, to] = extent(cell.box, cell.char);
      const y = place.y(cell.box.bottom) + place.radius + 3;
      context.lineWidth = 0.8 + 2.6 * (one.chance / worst);
      context.beginPath();
      context.moveTo(place.x(from, 0), y);
      context.lineTo(place.x(to - 1, 0), y);
      context.stroke();
    }
  }

  /** The box and character of a place in a line. */
  cellOf({ line, place }) {
    let at = place;
    for (const box of this.drops.boxes.filter((one) => one.line === line)) {
      if (at < box.cells.length) return { box, char: at };
      at -= box.cells.length;
    }
    return undefined;
  }

  /** Length and height, as a drawing has them. */
  dimensions(context, place) {
    const { length_mm: long, height_mm: high } = this.drops;
    if (long === null) return;
    context.strokeStyle = context.fillStyle = colour("soft");
    context.lineWidth = 1;
    context.font = `italic 14px ${getComputedStyle(document.body).fontFamily}`;
    const last = this.drops.bits.length - 1;
    const [x0, x1] = [place.left - place.radius, place.x(last, 0) + place.radius];
    const y = place.base + place.radius + 18;
    span(context, x0, y, x1, y);
    label(context, T.message.long(long), (x0 + x1) / 2, y + 16);
    const rows = this.drops.bits.reduce((all, column) => all | column, 0);
    const [low, top] = [Math.log2(rows & -rows), Math.floor(Math.log2(rows))];
    const x = place.width + 12;
    span(context, x, place.y(low) + place.radius, x, place.y(top) - place.radius);
    label(context, high.toFixed(1), x + 20, (place.y(low) + place.y(top)) / 2 + 4);
  }

  click(event) {
    const { x, y } = this.canvas.getBoundingClientRect();
    const found = this.at(event.clientX - x, event.clientY - y);
    if (found) this.clicked(...found);
  }

  /** The box and character at a place of the canvas. */
  at(x, y) {
    const place = this.place;
    if (!place || this.stale) return undefined;
    const row = Math.round((place.base - y) / place.row);
    const stroke = Math.round((x - place.left - row * place.lean) / place.stroke);
    const box = this.drops.boxes.find((one) => one.first <= stroke && stroke < one.end && one.bottom <= row && row < one.top);
    if (!box) return undefined;
    return [box, box.cells.findLastIndex((cell) => cell <= stroke)];
  }
}

function extent(box, char) {
  if (char < 0) return [box.first, box.end];
  return [box.cells[char], Math.min(box.end, box.cells[char + 1] ?? box.end)];
}

function span(context, x0, y0, x1, y1) {
  const across = y0 === y1;
  context.beginPath();
  context.moveTo(x0, y0);
  context.lineTo(x1, y1);
  for (const [x, y] of [[x0, y0], [x1, y1]]) {
    context.moveTo(x - (across ? 3 : 6), y + (across ? 6 : 3));
    context.lineTo(x + (across ? 3 : 6), y - (across ? 6 : 3));
  }
  context.stroke();
}

function label(context, text, x, y) {
  context.textAlign = "center";
  context.fillText(text, x, y);
}
