/** Ten years as a ribbon, with the days of interest; a day is chosen by dragging or with keys. */
import { h } from "./dom.js";
import { colour, sized } from "./drops.js";
import { T } from "./texts.js";

const DAY = 86400000;
export const YEARS = 10;
const HEIGHT = 62;
const LINE = 30;

/** @param {string} day ISO 8601 @returns {number} days since 1970 */
export const dayNumber = (day) => Math.round(Date.parse(`${day.slice(0, 10)}T00:00Z`) / DAY);
/** @param {number} number days since 1970 @returns {string} ISO 8601 */
export const dayText = (number) => new Date(number * DAY).toISOString().slice(0, 10);

export class Ribbon {
  /** @param {(day: string) => void} chosen told a day, ISO 8601, while it is dragged */
  constructor(chosen) {
    this.days = [];
    const year = new Date().getFullYear();
    this.begin(`${year}-01-01`);
    this.canvas = h("canvas", { "aria-hidden": "true" });
    this.range = h("input", {
      type: "range", min: 0, max: this.length, step: 1, "aria-label": T.time.ribbon,
      oninput: () => chosen(dayText(this.first + this.range.valueAsNumber)),
    });
    this.element = h("div.ribbon", {}, this.canvas, this.range);
    new ResizeObserver(() => this.draw()).observe(this.element);
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", () => this.draw());
  }

  /** Have the ribbon begin on a day. */
  begin(day) {
    this.first = dayNumber(day);
    const end = `${+day.slice(0, 4) + YEARS}${day.slice(4, 10)}`;
    this.length = dayNumber(end) - this.first;
    this.start = day;
  }

  /** Show the days of interest: `{day, kind, said}` in order. */
  show(days) {
    this.days = days;
    this.draw();
  }

  /** Move to a day, and say what it is. */
  move(day, text) {
    this.day = day;
    const at = dayNumber(day) - this.first;
    this.range.value = Math.max(0, Math.min(this.length, at));
    const said = this.days.filter((one) => one.day === day).map((one) => one.said);
    this.range.setAttribute("aria-valuetext", [text, ...said].join(", "));
    this.draw();
  }

  /** The nearest day of interest before (-1) or behind (1) the present one; plain months left out. */
  near(way) {
    const plain = this.days.filter((one) => one.kind !== "month-end");
    return way > 0 ? plain.find((one) => one.day > this.day) : plain.findLast((one) => one.day < this.day);
  }

  draw() {
    const width = this.element.clientWidth;
    if (!width) return;
    const context = sized(this.canvas, width, HEIGHT);
    const x = (number) => 8 + ((number - this.first) / this.length) * (width - 16);
    this.scale(context, x, width);
    for (const one of this.days) mark(context, one.kind, x(dayNumber(one.day)));
    if (this.day) this.needle(context, x(dayNumber(this.day)));
  }

  scale(context, x, width) {
    context.strokeStyle = context.fillStyle = colour("ink");
    context.lineWidth = 1;
    context.font = `13px ${getComputedStyle(document.body).fontFamily}`;
    context.textAlign = "center";
    context.beginPath();
    context.moveTo(8, LINE + 0.5);
    context.lineTo(width - 8, LINE + 0.5);
    const first = +this.start.slice(0, 4);
    for (let year = first; year <= first + YEARS; year += 1) {
      const at = Math.round(x(dayNumber(`${year}-01-01`))) + 0.5;
      context.moveTo(at, LINE - 9);
      context.lineTo(at, LINE + 9);
      if (year < first + YEARS && (width > 560 || (year - first) % 2 === 0)) {
        context.fillText(String(year), x(dayNumber(`${year}-07-02`)), LINE + 26);
      }
    }
    context.stroke();
  }

  needle(context, at) {
    context.strokeStyle = context.fillStyle = colour("mark");
    context.lineWidth = 2;
    context.beginPath();
    context.moveTo(at, 4);
    context.lineTo(at, LINE + 14);
    context.stroke();
    context.beginPath();
    context.arc(at, 6, 4.5, 0, 7);
    context.fill();
  }
}

/** Each kind of day has a shape of its own; what needs somebody is drawn in red. */
function mark(context, kind, at) {
  const ends = ["failing", "counter-ends", "no-text", "date-passes"].includes(kind);
  context.strokeStyle = colour(ends ? "error" : kind.endsWith("-end") ? "soft" : "note");
  context.lineWidth = ends ? 2 : 1.2;
  context.beginPath();
  SHAPES[kind]?.(context, at);
  context.stroke();
}

const path = (...points) => (c, x) => points.slice(1).forEach(([dx, dy], at) => line(c, x + points[at][0], LINE + points[at][1], x + dx, LINE + dy));
const SHAPES = {
  "month-end": path([0, -3], [0, 3]),
  "year-end": path([0, -6], [0, 6]),
  clocks: path([-3.5, -6], [3.5, -6], [0, -12], [-3.5, -6]),
  "leap-day": path([0, -20], [4, -15], [0, -10], [-4, -15], [0, -20]),
  restart: path([-3, -7], [0, -3], [3, -7]),
  "date-passes": (c, x) => (c.moveTo(x + 3.5, LINE - 15), c.arc(x, LINE - 15, 3.5, 0, 7)),
  "counter-ends": path([-3, -20], [-3, -12], [3, -12], [3, -20]),
  "no-text": path([-4, -12], [4, -12], [4, -20], [-4, -20], [-4, -12]),
  failing: (c, x) => (path([-4, 5], [4, 13])(c, x), path([4, 5], [-4, 13])(c, x)),
};

function line(context, x0, y0, x1, y1) {
  context.moveTo(x0, y0);
  context.lineTo(x1, y1);
}
