/** The home: every message of the plant as a sheet of specimens. */
import { action, dialogue, h, put, rove, voice } from "./dom.js";
import { Entries } from "./entries.js";
import { freshMessage } from "./fresh.js";
import { row } from "./row.js";
import { ORDER, shape, stateOf } from "./states.js";
import { T } from "./texts.js";
import { Trace } from "./trace.js";

const PLAIN = { find: "", line: "", state: "", sort: "plant", show: ["line", "prints", "finding", "day"] };

export class Home {
  constructor(wire, plant) {
    this.wire = wire;
    this.plant = plant;
    this.view = { ...PLAIN };
    this.entries = new Entries(wire, plant, () => this.draw(), (entry) => this.looked(entry));
    this.rows = new Map();
    this.views = plant.views;
    this.build();
    this.refresh();
    setInterval(() => document.hidden || this.refresh(), 60000);
  }

  /** Ask for the list anew. */
  refresh() {
    this.entries.load();
  }

  /** The home is on the sheet again. */
  shown() {
    this.draw();
  }

  build() {
    this.block = this.makeBlock();
    this.find = h("input", {
      type: "search", id: "find", autocomplete: "off", spellcheck: false, placeholder: T.home.hint,
      oninput: () => this.change({ find: this.find.value }),
      onkeydown: (event) => event.key === "Enter" && this.trace.ask(this.find.value),
    });
    this.trace = new Trace(this.wire, () => this.entries.all);
    this.lines = h("div.choices", { role: "group", "aria-label": T.home.line });
    this.states = h("div.choices", { role: "group", "aria-label": T.home.state });
    this.list = h("ul.specimens", { role: "list" });
    this.element = h(
      "div.home", {},
      h("header.head", {}, h("div.asking", {}, h("h1", { tabIndex: -1, text: this.plant.name }),
        h("label.find", { for: "find", text: T.home.find }), this.find, this.trace.element), this.block),
      h("div.sieve", {}, this.lines, this.states, this.arranging()),
      this.list,
    );
  }

  arranging() {
    const pairs = Object.entries(T.home.sorts).map(([value, text]) => h("option", { value, text }));
    this.sort = h("select", { onchange: () => this.change({ sort: this.sort.value }) }, ...pairs);
    this.boxes = Object.entries(T.home.shows).map(([name, text]) => {
      const box = h("input", { type: "checkbox", value: name, onchange: () => this.chooseShown() });
      return h("label", {}, box, text);
    });
    return h("div.arranging", {}, h("label", {}, T.home.sort, " ", this.sort),
      h("details.columns", {}, h("summary", { text: T.home.show }), h("div", {}, ...this.boxes)));
  }

  chooseShown() {
    const boxes = this.boxes.map((label) => label.firstChild);
    this.change({ show: boxes.filter((box) => box.checked).map((box) => box.value) });
  }

  change(given) {
    this.view = { ...this.view, ...given };
    this.draw();
    voice(T.home.found(this.wanted.length));
  }

  draw() {
    this.wanted = this.entries.like(this.view);
    this.drawBlock();
    this.drawChoices();
    this.trace.offer(this.view.find);
    const items = this.wanted.map((entry) => this.row(entry));
    put(this.list, items.length ? items : h("li.none", { text: this.entries.done ? T.home.none : "" }));
    rove(this.list, () => [...this.list.querySelectorAll("a.name")]);
  }

  /** The row of an entry; one that is there stays while nothing of it has changed. */
  row(entry) {
    const shape = `${this.view.show} ${entry.changed}`;
    const known = this.rows.get(entry.id);
    if (known?.entry === entry && known.state === entry.state && known.shape === shape) return known.element;
    const element = row(entry, this.view);
    this.rows.set(entry.id, { entry, state: entry.state, shape, element });
    return element;
  }

  /** An entry has been looked at: its row is drawn anew, the rest when more have been. */
  looked(entry) {
    const old = this.rows.get(entry.id)?.element;
    const held = old?.contains(document.activeElement);
    if (old?.isConnected) {
      old.replaceWith(this.row(entry));
      const link = this.rows.get(entry.id).element.querySelector("a.name");
      link.tabIndex = old.querySelector("a.name").tabIndex;
      if (held) link.focus();
    }
    this.waits ??= setTimeout(() => {
      this.waits = undefined;
      const ordered = this.view.state || ["state", "day"].includes(this.view.sort);
      if (ordered) this.draw();
      else this.drawBlock(), this.drawChoices();
    }, 400);
  }

  /** The block of the sheet; what can hold the focus is made anew only when it is another. */
  drawBlock() {
    const all = this.entries.all;
    const looked = all.filter((one) => stateOf(one) !== "unseen").length;
    this.facts.messages.textContent = T.home.some(this.wanted.length, all.length);
    this.facts.look.textContent = T.home.some(looked, all.length);
    this.facts.moment.textContent = this.entries.at;
    const views = JSON.stringify([this.views, this.view]);
    if (views !== this.shownViews) put(this.facts.view, this.viewChoice());
    this.shownViews = views;
  }

  makeBlock() {
    this.facts = Object.fromEntries(["messages", "look", "moment", "view"].map((name) => [name, h("dd")]));
    const pairs = Object.entries(this.facts).map(([name, dd]) => h("div", {}, h("dt", { text: T.home[name] }), dd));
    const fresh = action(T.home.fresh, () => freshMessage(this.wire, this.plant.lines));
    return h("div.block", {}, h("dl", {}, ...pairs), h("p.doing", {}, fresh));
  }

  viewChoice() {
    const names = Object.keys(this.views);
    const now = names.find((name) => this.views[name] === JSON.stringify(this.view)) ?? "";
    const choice = h("select", { "aria-label": T.home.view, onchange: () => this.takeView(choice.value) },
      h("option", { value: "", text: T.home.everything }),
      ...names.map((name) => h("option", { value: name, text: name, selected: name === now })));
    const keep = now ? action(T.home.forget, () => this.keepViews({ [now]: undefined })) : action(T.home.keep, () => this.nameView());
    return h("span.views", {}, choice, keep);
  }

  takeView(name) {
    this.view = name ? { ...PLAIN, ...JSON.parse(this.views[name]) } : { ...PLAIN };
    this.find.value = this.view.find;
    this.draw();
  }

  async nameView() {
    const name = h("input", { type: "text", maxLength: 60, required: true, id: "view-name" });
    const given = await dialogue(T.home.keepAs, h("label", { for: "view-name", text: T.fresh.name }), name, (close) =>
      h("p.answers", {}, action(T.ok, () => close(name.value.trim())), action(T.cancel, () => close(null))));
    if (given) this.keepViews({ [given]: JSON.stringify(this.view) });
  }

  async keepViews(change) {
    const views = Object.fromEntries(Object.entries({ ...this.views, ...change }).filter(([, view]) => view));
    this.views = (await this.wire.ask("keep-views", { views })).views;
    this.draw();
  }

  drawChoices() {
    const chosen = document.activeElement?.closest(".choices");
    const lines = this.plant.lines.length ? ["", ...this.plant.lines] : [];
    put(this.lines, lines.map((line) => this.choice("line", line, line || T.home.all)));
    const there = ORDER.filter((state) => this.entries.all.some((one) => stateOf(one) === state));
    put(this.states, ["", ...there].map((state) =>
      this.choice("state", state, state ? T.states[state] : T.home.all, state && shape(state))));
    chosen?.querySelector("[aria-pressed=true]")?.focus();
    this.sort.value = this.view.sort;
    for (const label of this.boxes) label.firstChild.checked = this.view.show.includes(label.firstChild.value);
  }

  choice(kind, value, text, mark) {
    const chosen = this.view[kind] === value;
    const pressed = { type: "button", "aria-pressed": String(chosen), onclick: () => this.choose(kind, value) };
    return h("button.choice", pressed, mark || null, h("span", { text }));
  }

  choose(kind, value) {
    this.change({ [kind]: value });
    const group = kind === "line" ? this.lines : this.states;
    group.querySelector("[aria-pressed=true]")?.focus();
  }
}
