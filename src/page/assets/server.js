// Questions to the program that serves this page, and changes to the set.

/** What the program refused: `status`, words, a way out, and for a change the state as it is. */
export class Refusal extends Error {
  constructor(status, body) {
    super(body.error ?? "the program did not answer");
    this.status = status;
    this.wayOut = body.way_out ?? null;
    this.state = body.state ?? null;
  }
}

async function answered(response) {
  const body = await response.json().catch(() => ({}));
  if (!response.ok) throw new Refusal(response.status, body);
  return body;
}

/** Asks; a program that is busy is asked again a few times. */
export async function ask(path, named = {}, tries = 4) {
  const query = new URLSearchParams();
  for (const [name, value] of Object.entries(named)) {
    if (value !== null && value !== undefined) query.set(name, value);
  }
  try {
    return await answered(await fetch(`${path}?${query}`));
  } catch (refused) {
    if (refused.status !== 503 || tries <= 1) throw refused;
    await new Promise((resolve) => setTimeout(resolve, 250));
    return ask(path, named, tries - 1);
  }
}

/** Does something to the set. */
export async function act(path, body) {
  const response = await fetch(path, {
    method: "POST",
    headers: { "Content-Type": "application/json" },
    body: JSON.stringify(body),
  });
  return answered(response);
}

/** Changes one after the other, each to the version that the one before has left; keystrokes that were overtaken are not sent. */
export class Changes {
  constructor({ context, done, refused }) {
    this.context = context;
    this.done = done;
    this.refused = refused;
    this.waiting = [];
    this.running = false;
  }

  /** Whether nothing is on its way. */
  get idle() {
    return !this.running && this.waiting.length === 0;
  }

  /** `path` is edit, undo, redo or settle; waiting edits with the same mark are replaced. */
  send(path, body) {
    const last = this.waiting.at(-1);
    const overtaken = body.mark && last?.body.mark === body.mark && body.edits?.every((edit) => edit.kind === "cell" || edit.kind === "put")
      && last.body.edits?.every((edit) => edit.kind === "cell" || edit.kind === "put");
    if (overtaken) this.waiting.pop();
    this.waiting.push({ path, body });
    this.run();
  }

  async run() {
    if (this.running) return;
    this.running = true;
    while (this.waiting.length > 0) {
      // taken out before it is sent: what is typed meanwhile overtakes only what still waits
      const next = this.waiting.shift();
      const { path, body } = next;
      try {
        const told = await act(path, { ...body, ...this.context() });
        this.done(told, path, body);
      } catch (refused) {
        if (refused instanceof Refusal && refused.status !== 503) {
          this.waiting = [];
          this.refused(refused, path, body);
        } else {
          // nobody answers: what was typed is kept and sent when somebody does
          this.waiting.unshift(next);
          this.refused(refused, path, body);
          await new Promise((resolve) => setTimeout(resolve, 1000));
        }
      }
    }
    this.running = false;
  }
}
