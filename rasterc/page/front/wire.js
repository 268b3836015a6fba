/** The websocket to the server: questions with numbers, their answers, and news. */

export class Refused extends Error {
  /** @param {any[]} faults what the server says is wrong */
  constructor(faults) {
    super(faults.map((one) => one.message).join("; "));
    this.faults = faults;
  }
}

export class Dropped extends Error {}

export class Wire {
  /** @param {string} token the token the page was opened with */
  constructor(token) {
    this.token = token;
    this.next = 1;
    this.waiting = new Map();
    this.listeners = new Map();
    this.open();
  }

  open() {
    const secure = location.protocol === "https:" ? "wss" : "ws";
    this.socket = new WebSocket(`${secure}://${location.host}/talk`);
    this.socket.onopen = () => this.socket.send(JSON.stringify({ ask: "hello", id: 0, token: this.token }));
    this.socket.onmessage = (event) => this.take(JSON.parse(event.data));
    this.socket.onclose = (event) => this.closed(event);
  }

  closed(event) {
    for (const one of this.waiting.values()) one.reject(new Dropped());
    this.waiting.clear();
    this.tell("gone", event.code === 1008);
    if (event.code !== 1008) setTimeout(() => this.open(), 1500);
  }

  /** @param {any} message an answer or news */
  take(message) {
    if (message.news) {
      for (const [kind, what] of Object.entries(message.news)) this.tell(kind, what);
      return;
    }
    const asked = this.waiting.get(message.id);
    if (!asked) return;
    if ("part" in message) return asked.part?.(message.part);
    this.waiting.delete(message.id);
    if ("done" in message) asked.resolve(message.done);
    else if ("dropped" in message) asked.reject(new Dropped());
    else asked.reject(new Refused(message.refused.faults));
  }

  /**
   * Ask the server.
   * @param {string} ask what for
   * @param {object} [given] with what
   * @param {(part: any) => void} [part] told answers that come in parts
   * @returns {Promise<any>}
   */
  ask(ask, given = {}, part) {
    const id = this.next++;
    return new Promise((resolve, reject) => {
      if (this.socket.readyState !== WebSocket.OPEN) return reject(new Dropped());
      this.waiting.set(id, { resolve, reject, part });
      this.socket.send(JSON.stringify({ ask, id, ...given }));
    });
  }

  /** Listen to news of a kind; gives what stops that. */
  on(kind, listener) {
    const all = this.listeners.get(kind) ?? this.listeners.set(kind, new Set()).get(kind);
    all.add(listener);
    return () => all.delete(listener);
  }

  tell(kind, what) {
    for (const listener of this.listeners.get(kind) ?? []) listener(what);
  }
}

/** Something asked again and again, of which only the newest matters; one at a time. */
export class Newest {
  /** @param {(given: any) => Promise<void>} work */
  constructor(work) {
    this.work = work;
    this.busy = false;
  }

  /** @param {any} given what to work with; replaces what waits */
  async want(given) {
    this.wanted = { given };
    if (this.busy) return;
    this.busy = true;
    try {
      while (this.wanted) {
        const { given: now } = this.wanted;
        this.wanted = undefined;
        await this.work(now).catch((error) => {
          if (!(error instanceof Dropped)) throw error;
        });
      }
    } finally {
      this.busy = false;
    }
  }
}
