/** The text in the editor against the file on the disk: when they print differently. */
import { action, h, put } from "./dom.js";
import { T } from "./texts.js";

const C = T.compare;

export class Comparing {
  /** @param {() => Promise<any>} ask @param {(at: string) => void} show told a moment to show */
  constructor(ask, show) {
    this.ask = ask;
    this.show = show;
    this.element = h("div.compared", { "aria-live": "polite" });
    this.action = action(C.title, () => this.compare());
  }

  async compare() {
    put(this.element, h("p.working", { text: C.working }));
    try {
      this.tell(await this.ask());
    } catch (error) {
      put(this.element, h("p.fault", { text: error.message || T.findings.failed }));
    }
  }

  tell(found) {
    const go = found.at && action(found.at.slice(0, 16).replace("T", " "), () => this.show(found.at));
    put(this.element, h("h3", { text: said(found) }),
      found.minutes > 0 && h("p", {}, C.first, " ", go),
      found.minutes > 0 && h("p", {}, h("del", { text: found.old.join(" / ") }), h("br"), h("ins", { text: found.new.join(" / ") })),
      ...found.faults.map((text) => h("p.fault", { text })),
      !found.exact && h("p", { text: C.bound }),
      found.written.length && h("p", { text: C.written }),
      ...found.written.map((one) => h("pre", { tabIndex: 0 }, one.old && h("del", { text: one.old }), one.old && one.new ? "\n" : "", one.new && h("ins", { text: one.new }))),
      action(T.close, () => put(this.element)));
  }
}

function said(found) {
  if (found.same) return C.same;
  if (found.minutes) return C.differs(found.minutes, found.days);
  if (found.others.length) return C.others(found.others.join(", "));
  return found.same_look ? C.prints : C.look;
}
