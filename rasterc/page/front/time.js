/** The moment at which a message is shown: a ribbon, steps, days of interest, and extremes. */
import { action, h, put, voice } from "./dom.js";
import { Ribbon, dayText, dayNumber } from "./ribbon.js";
import { T } from "./texts.js";

export class Time {
  /**
   * @param {(at: string, values?: any) => void} chosen told a moment, "" for now, and values with it
   * @param {(what: string, way: number) => Promise<string>} edge asks for the next edge of a shift
   * @param {() => Promise<any[]>} worst asks for the extremes
   */
  constructor(chosen, edge, worst) {
    this.chosen = chosen;
    this.edge = edge;
    this.askWorst = worst;
    this.ribbon = new Ribbon((day) => this.chosen(`${day}${this.wall.slice(10)}`));
    this.moment = h("input", { type: "text", id: "moment", size: 17, autocomplete: "off", spellcheck: "false", onchange: () => this.typed() });
    this.zone = h("span.quiet");
    this.said = h("p.quiet");
    this.extremes = h("div.extremes", { "aria-live": "polite" });
    this.body = h("div", {}, this.ribbon.element, h("div.steps", {},
      h("label", { for: "moment", text: T.time.moment }), this.moment, this.zone, action(T.time.now, () => this.chosen("")),
      ...["hour", "shift", "day", "month"].map((what) => this.stepper(what)),
      h("span.stepper", {}, action("◂", () => this.jump(-1), { "aria-label": T.time.previous }), T.time.next, action("▸", () => this.jump(1), { "aria-label": T.time.next })),
      h("details.worst", { ontoggle: (event) => event.target.open && this.worst() }, h("summary", { text: T.time.worst }), this.extremes)), this.said, legend());
    this.none = h("p.quiet", { text: T.time.noClock, hidden: true });
    this.element = h("section.time", { "aria-label": T.time.title }, this.body, this.none);
  }

  /** A moment was typed; a date alone keeps the time of day. */
  typed() {
    const text = this.moment.value.trim();
    this.chosen(/^\d{4}-\d\d-\d\d$/.test(text) ? `${text}${this.wall.slice(10)}` : text);
  }

  stepper(what) {
    const name = T.time.steps[what];
    return h("span.stepper", {}, action("◂", () => this.step(what, -1), { "aria-label": T.time.earlier(name) }), name,
      action("▸", () => this.step(what, 1), { "aria-label": T.time.later(name) }));
  }

  /** Show a print's moment. */
  show(drawn) {
    this.body.hidden = !drawn.reads_clock;
    this.none.hidden = drawn.reads_clock;
    if (!drawn.reads_clock || !drawn.at) return;
    this.at = drawn.at;
    this.wall = drawn.at.slice(0, 16);
    this.moment.value = this.wall.replace("T", " ");
    this.zone.textContent = drawn.zone;
    this.ribbon.move(this.wall.slice(0, 10), this.wall.replace("T", " "));
    const days = this.ribbon.days.filter((one) => one.day === this.wall.slice(0, 10));
    this.said.textContent = days.map((one) => one.said).join("; ");
  }

  /** Show the days of interest. */
  days(days) {
    this.calendar = days;
    this.mark(this.failing ?? []);
  }

  /** Mark the days on which rules fail. */
  mark(failing) {
    this.failing = failing;
    const days = [...(this.calendar ?? []), ...failing].sort((a, b) => (a.day < b.day ? -1 : 1));
    this.ribbon.show(days);
  }

  async step(what, way) {
    if (what === "shift") {
      const at = await this.edge(what, way);
      if (at) this.chosen(at);
    } else if (what === "hour") {
      this.chosen(new Date(Date.parse(this.at) + way * 3600000).toISOString().replace(".000", ""));
    } else {
      this.chosen(`${what === "day" ? dayText(dayNumber(this.wall) + way) : monthOn(this.wall, way)}${this.wall.slice(10)}`);
    }
  }

  async jump(way) {
    await this.loaded;
    const day = this.ribbon.near(way);
    if (!day) return;
    voice(`${day.day}: ${day.said}`);
    this.chosen(`${day.day}${this.wall.slice(10)}`);
  }

  async worst() {
    put(this.extremes, h("p.working", { text: T.time.working }));
    try {
      const found = await this.askWorst();
      put(this.extremes, h("ul", {}, ...found.map((one) => this.extreme(one))));
    } catch (error) {
      put(this.extremes, h("p.fault", { text: error.message || T.findings.failed }));
    }
  }

  extreme(one) {
    const go = action(one.title, () => this.chosen(one.at, { counters: one.counters, inputs: one.inputs }));
    return h("li", {}, go, h("span", { text: ` ${one.value} ` }), h("span.quiet", { text: one.said + (one.why ? `: ${one.why}` : "") }));
  }
}

/** The same day of another month, its last where it has none. */
function monthOn(wall, way) {
  const [year, month, day] = wall.slice(0, 10).split("-").map(Number);
  const last = new Date(Date.UTC(year, month + way, 0)).getUTCDate();
  return new Date(Date.UTC(year, month - 1 + way, Math.min(day, last))).toISOString().slice(0, 10);
}

function legend() {
  const kinds = [["year-end", "|"], ["leap-day", "◇"], ["clocks", "△"], ["restart", "∨"], ["date-passes", "○"], ["counter-ends", "⊔"], ["no-text", "□"], ["failing", "×"]];
  return h("p.legend", {}, ...kinds.map(([kind, sign]) => h("span", {}, h("span.sign", { text: sign, "aria-hidden": "true" }), ` ${T.time.kinds[kind]}`)));
}
