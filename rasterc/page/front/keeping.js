/** Saving without losing anything: neither what was typed, nor what others have written. */
import { action, dialogue, h, voice } from "./dom.js";
import { T } from "./texts.js";

const K = T.keep;

export class Keeping {
  /**
   * @param {any} wire
   * @param {Object<string, string>} looked the digests that files had when they were looked at
   * @param {string} file
   * @param {(text: string) => void} took told a text taken from the disk
   */
  constructor(wire, looked, file, took) {
    this.wire = wire;
    this.looked = looked;
    this.file = file;
    this.took = took;
    this.digest = "";
    this.text = "";
  }

  async open() {
    this.hold(await this.wire.ask("open", { file: this.file }));
    return this.text;
  }

  hold(opened) {
    this.digest = opened.digest;
    this.text = opened.text;
    this.looked[this.file] = this.digest;
    this.wire.ask("looked", { file: this.file, digest: this.digest }).catch(() => {});
  }

  /** Save a text; whether it is in the file now. */
  async save(text) {
    let digest = this.digest;
    for (;;) {
      const { saved, file } = await this.wire.ask("save", { file: this.file, text, digest });
      if (saved) {
        this.hold(file);
        voice(T.message.saved);
        return true;
      }
      const way = await this.ask(file);
      if (way === "theirs") return this.hold(file), this.took(file.text), true;
      if (way === "both") return (await this.asNew(text)) !== null;
      if (way !== "mine") return false;
      digest = file.digest;
    }
  }

  ask(now) {
    const gone = now.text === null;
    return dialogue(gone ? K.gone : K.conflict, h("p", { text: gone ? K.goneSaid : K.conflictSaid }), (close) =>
      h("p.answers", {}, !gone && action(K.mine, () => close("mine")), !gone && action(K.theirs, () => close("theirs")),
        action(K.both, () => close("both")), action(K.cancel, () => close(null))));
  }

  /** Keep a text as a new file; its name, or null. */
  async asNew(text, wanted = this.file.replace(/\.rasterc$/, "-2.rasterc")) {
    const name = h("input", { type: "text", id: "file-name", value: wanted, size: 40 });
    const fault = h("p.fault", { role: "alert" });
    const made = async (close) => {
      try {
        close((await this.wire.ask("create", { file: name.value.trim(), text })).file.file);
      } catch (error) {
        fault.textContent = `${error.message}: ${K.exists}`;
      }
    };
    return dialogue(K.both, h("label", { for: "file-name", text: K.asName }), " ", name, fault, (close) =>
      h("p.answers", {}, action(K.create, () => made(close)), action(K.cancel, () => close(null))));
  }

  /** A file has changed on the disk: its text where that is new. */
  async changed() {
    const now = await this.wire.ask("open", { file: this.file });
    return now.digest === this.digest ? undefined : now;
  }
}

/** Hand a file to the person who asked for it. */
export function handOver(name, data, type = "application/octet-stream") {
  const url = URL.createObjectURL(new Blob([data], { type }));
  const link = h("a", { href: url, download: name });
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 10000);
}
