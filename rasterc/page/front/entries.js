/** The messages of the plant as the server lists them, and those that are asked for. */
import { ORDER, stateOf } from "./states.js";
import { T } from "./texts.js";
import { Newest } from "./wire.js";

export class Entries {
  /**
   * @param {() => void} changed told whenever there is something new to draw
   * @param {(entry: any) => void} looked told an entry whose state is known now
   */
  constructor(wire, plant, changed, looked) {
    this.wire = wire;
    this.tell = looked;
    this.looked = plant.looked;
    this.changed = changed;
    this.all = [];
    this.states = new Map();
    this.at = "";
    this.done = false;
    this.loading = new Newest(() => this.list());
    wire.on("state", (state) => this.take(state));
    wire.on("changed", () => this.load());
  }

  /** Ask for the list; once more when that is wanted meanwhile, so that none is out of date. */
  load() {
    return this.loading.want();
  }

  async list() {
    const found = [];
    const first = !this.all.length;
    try {
      const end = await this.wire.ask("list", {}, (part) => {
        found.push(...part);
        if (first && found.length === part.length) this.hold(found);
      });
      end.states.forEach((state) => this.states.set(state.id, state));
      this.at = momentSaid(end.at);
      this.done = true;
      this.hold(found);
    } catch {
      // the wire has gone: the list is asked for again when it is back
    }
  }

  hold(found) {
    const before = new Map(this.all.map((one) => [one.id, one]));
    this.all = found.map((entry, at) => this.known(before.get(entry.id), entry, at));
    this.soon();
  }

  /** The entry that is there already, where nothing of it has changed. */
  known(old, entry, at) {
    const now = { ...entry, at, state: this.states.get(entry.id), words: wordsOf(entry) };
    const same = old && old.at === at && old.digest === entry.digest && old.words === now.words && old.state === now.state;
    return same && !entry.faults.length ? old : now;
  }

  take(state) {
    this.states.set(state.id, state);
    const entry = this.all.find((one) => one.id === state.id);
    if (entry) this.tell(Object.assign(entry, { state }));
  }

  /** Draw at most once a frame. */
  soon() {
    if (this.waits) return;
    this.waits = true;
    requestAnimationFrame(() => {
      this.waits = false;
      this.changed();
    });
  }

  /** Whether a file has changed since it was last looked at; new ones have not. */
  isChanged(entry) {
    const looked = this.looked[entry.file];
    return looked !== undefined && looked !== entry.digest;
  }

  /** The entries of a view, in its order. */
  like(view) {
    const words = view.find.toLocaleLowerCase();
    const found = this.all.filter(
      (one) => (!view.line || one.line === view.line) && (!view.state || stateOf(one) === view.state) && one.words.includes(words),
    );
    found.forEach((one) => (one.changed = this.isChanged(one)));
    return found.sort(SORTS[view.sort] ?? SORTS.plant);
  }
}

const text = (of) => (a, b) => of(a).localeCompare(of(b)) || a.at - b.at;
const SORTS = {
  plant: (a, b) => a.at - b.at,
  name: text((one) => one.message || one.file),
  line: text((one) => one.line),
  state: (a, b) => ORDER.indexOf(stateOf(a)) - ORDER.indexOf(stateOf(b)) || a.at - b.at,
  day: text((one) => one.state?.next_day || "9999"),
};

function wordsOf(entry) {
  return [entry.message, entry.file, entry.line, ...(entry.drops?.lines ?? [])].join("\n").toLocaleLowerCase();
}

/** A moment as people read it. */
export function momentSaid(iso) {
  const at = new Date(iso);
  const parts = { day: "numeric", month: "short", year: "numeric", hour: "2-digit", minute: "2-digit", hour12: false };
  return Number.isNaN(+at) ? T.home.now : new Intl.DateTimeFormat("en-GB", parts).format(at);
}
