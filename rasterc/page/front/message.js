/** One message: its drops, its time, its source, its values, and what is found in it. */
import { action, dialogue, h, put, voice } from "./dom.js";
import { Comparing } from "./comparing.js";
import { Controls } from "./controls.js";
import { Editor } from "./editor.js";
import { Findings } from "./findings.js";
import { Hero } from "./hero.js";
import { Keeping, handOver } from "./keeping.js";
import { Places } from "./marking.js";
import { T } from "./texts.js";
import { Time } from "./time.js";
import { Newest, Refused } from "./wire.js";

const SURVEY_WAITS = 900;

export class Message {
  /** @param {any} wire @param {any} plant @param {{file: string, message: string, line: string}} which */
  constructor(wire, plant, which) {
    Object.assign(this, { wire, plant, which, at: "", counters: {}, inputs: {}, words: undefined });
    this.drawing = new Newest(() => this.draw());
    this.keeping = new Keeping(wire, plant.looked, which.file, (text) => this.editor.replace(text));
    this.hero = new Hero((box, char) => this.places.markBox(box, char));
    this.controls = new Controls((kind, name, value) => this.set({ [kind]: { ...this[kind], [name]: value } }));
    this.time = new Time((at, values) => this.set({ at, ...values }), (what, way) => this.edge(way), () => this.ask("extremes", { years: 10 }));
    this.editor = new Editor({
      changed: () => this.typed(), moved: (at) => this.places.markCaret(at), hover: (at) => this.places.hover(at),
      words: () => this.words, save: () => this.save(),
    });
    this.comparing = new Comparing(() => this.ask("compare", { years: 10 }), (at) => this.set({ at }));
    this.places = new Places(this.editor, this.hero);
    this.findings = new Findings({
      mark: (one) => this.places.go(one.place), show: (one) => this.showAt(one), apply: (edit) => this.editor.apply(edit),
      explain: (rule) => wire.ask("explain", { rule }), silence: (rule, because) => this.places.silence(rule, because, this.which.message),
    });
    this.build();
    this.stops = [wire.on("changed", (files) => this.filesChanged(files)), wire.on("plant", () => this.set({}))];
    this.unload = (event) => this.dirty && event.preventDefault();
    addEventListener("beforeunload", this.unload);
  }

  build() {
    const tools = h("div.tools", { role: "group" }, this.saving = action(T.message.save, () => this.save()),
      action(T.message.format, () => this.format()), ...this.edits(), this.comparing.action, this.exporting());
    this.state = h("span.quiet", { role: "status" });
    this.banner = h("p.notice", { role: "status" });
    this.risk = h("input", { type: "checkbox", onchange: () => this.reading() });
    this.riskList = h("p.quiet.risks");
    this.element = h("div.message", {},
      h("header.top", {}, h("a.back", { href: "#/", text: `← ${T.message.back}` }),
        h("h1", { tabIndex: -1, text: this.which.message || this.which.file }),
        h("p.quiet", { text: [this.which.file, this.which.line].filter(Boolean).join(", ") }), this.state),
      this.banner, this.hero.element, this.hero.under, h("p.reading", {}, h("label", {}, this.risk, " ", T.message.risk), " ", this.riskList),
      this.time.element,
      h("div.columns2", {}, h("section.source", { "aria-label": T.message.source }, tools, this.comparing.element, this.editor.element),
        h("div.beside", {}, h("section", { "aria-label": T.message.values }, h("h2", { text: T.message.values }), this.controls.element), this.findings.element)));
  }

  edits() {
    return [[T.message.undo, () => this.editor.undo()], [T.message.redo, () => this.editor.redo()], [T.home.find, () => this.editor.find()]].map(([text, act]) => action(text, act));
  }

  exporting() {
    const kinds = Object.entries(T.message.kinds).map(([kind, text]) => h("li", {}, action(text, () => this.export(kind))));
    return h("details.export", {}, h("summary", { text: T.message.exported }), h("ul", {}, ...kinds));
  }

  async begin() {
    try {
      this.editor.begin(await this.keeping.open());
    } catch (error) {
      put(this.banner, error.message);
      return;
    }
    this.wire.ask("words").then((words) => (this.words = words)).catch(() => {});
    this.typed();
    this.time.loaded = this.days();
  }

  leave() {
    this.stops.forEach((stop) => stop());
    clearTimeout(this.waits);
    removeEventListener("beforeunload", this.unload);
  }

  async mayLeave() {
    if (!this.dirty) return true;
    const answer = await dialogue(T.keep.leave, h("p", { text: T.keep.leaveSaid }), (close) =>
      h("p.answers", {}, action(T.keep.stay, () => close(false)), action(T.keep.discard, () => close(true))));
    return answer === true;
  }

  get dirty() {
    return this.editor.text !== this.keeping.text;
  }

  /** Text and values as the server wants them. */
  get draft() {
    const { file, message, line } = this.which;
    return { file, message, line, text: this.editor.text, at: this.at, counters: this.counters, inputs: this.inputs };
  }

  ask(what, more = {}) {
    return this.wire.ask(what, { ...this.draft, ...more });
  }

  typed() {
    const dirty = this.dirty;
    this.saving.disabled = !dirty;
    this.state.textContent = dirty ? T.message.unsaved : "";
    if (!dirty) put(this.banner);
    this.drawing.want();
  }

  /** Take values: a moment, counters, inputs. */
  set(given) {
    Object.assign(this, given);
    this.drawing.want();
  }

  async draw() {
    const drawn = await this.ask("draw");
    this.drawn = drawn;
    this.hero.show(drawn.drops);
    if (drawn.drops) this.controls.show(drawn);
    if (drawn.at) this.time.show(drawn);
    this.places.take(drawn);
    this.findings.faults(drawn.faults);
    this.editor.underline([...drawn.faults, ...(drawn.faults.length ? [] : this.findings.shown)]);
    if (this.risk.checked && drawn.drops) this.reading();
    clearTimeout(this.waits);
    if (drawn.faults.length) this.findings.take("now", undefined), this.findings.take("all", undefined);
    else this.look();
  }

  /** Have the rules look at it: at once at this moment, and over all values when nobody types. */
  look() {
    this.take("now", this.ask("check"));
    this.waits = setTimeout(() => this.take("all", this.ask("survey", { years: this.plant.years })), SURVEY_WAITS);
  }

  async take(which, asked) {
    const text = this.editor.text;
    let found;
    try {
      found = await asked;
    } catch (error) {
      if (!(error instanceof Refused)) return;
      found = { findings: [], silenced: [], said: "", failed: `${T.findings.failed}: ${error.message}` };
    }
    if (text !== this.editor.text) return;
    this.findings.take(which, found);
    this.editor.underline([...(this.drawn?.faults ?? []), ...this.findings.shown]);
    if (which === "all") this.time.mark(failing(found));
  }

  async days() {
    const at = `${this.time.ribbon.start} 12:00`;
    this.time.days(await this.ask("days", { years: 10, at }).catch(() => []));
    if (this.drawn) this.time.show(this.drawn);
  }

  edge(way) {
    return this.ask("edge", { back: way < 0 }).catch(() => "");
  }

  /** Show the print that a finding was found in. */
  showAt(one) {
    this.set(valuesOf(one.at, this.drawn));
    this.hero.element.scrollIntoView({ block: "nearest" });
  }

  async reading() {
    if (!this.risk.checked) return this.hero.risk([]), put(this.riskList);
    const found = (await this.ask("reading").catch(() => [])).filter((one) => one.rivals);
    this.hero.risk(found.slice(0, 24));
    put(this.riskList, found.slice(0, 3).map((one) => T.message.risky(one)).join("; "));
  }

  async save() {
    if (!this.dirty) return;
    try {
      await this.keeping.save(this.editor.text);
    } catch (error) {
      put(this.banner, error.message);
    }
    this.typed();
  }

  async format() {
    try {
      this.editor.replace((await this.wire.ask("format", { text: this.editor.text })).text);
    } catch (error) {
      voice(error.message);
    }
  }

  async export(kind) {
    const name = this.drawn?.message || "message";
    if (kind === "report") return handOver(`${name}.txt`, this.findings.report(`${name}, ${this.drawn?.at}`), "text/plain");
    try {
      const file = await this.ask("export", { kind });
      handOver(file.name, Uint8Array.from(atob(file.data), (char) => char.charCodeAt(0)));
    } catch (error) {
      put(this.banner, error.message);
    }
  }

  async filesChanged(files) {
    if (!files.includes(this.which.file)) return this.set({});
    const now = await this.keeping.changed().catch(() => undefined);
    if (!now) return;
    if (this.dirty) return put(this.banner, T.keep.elsewhere);
    this.keeping.hold(now);
    this.editor.replace(now.text);
    voice(T.keep.taken);
    put(this.banner, T.keep.taken);
  }
}

/** The days on which rules fail. */
function failing(looked) {
  const dated = looked.findings.filter((one) => /^\d{4}-\d\d-\d\d/.test(one.at));
  return dated.map((one) => ({ day: one.at.slice(0, 10), kind: "failing", said: one.message }));
}

/** The moment and the values that a finding's words name. */
function valuesOf(at, drawn) {
  const when = at.match(/^\d{4}-\d\d-\d\d \d\d:\d\d(:\d\d)?([+-]\d\d:\d\d)?/);
  const counters = {};
  const inputs = {};
  for (const one of drawn?.counters ?? []) {
    const value = at.match(new RegExp(`, ${one.name} (\\d+)`));
    if (value) counters[one.name] = Number(value[1]);
  }
  for (const one of drawn?.inputs ?? []) {
    const value = at.match(new RegExp(`, ${one.name} "([^"]*)"`));
    if (value) inputs[one.name] = value[1];
  }
  return { ...(when ? { at: when[0] } : {}), counters, inputs };
}
