// What is made: strips laid flat, what cannot be made of them, sheets, files.

import { at, drawing, element, newest, whenQuiet } from "/assets/dom.js";
import { ask } from "/assets/server.js";
import { flatStrips } from "/assets/stage.js";

export class Making {
  /** `process()` names the process, `names()` the lenses, `change` sends edits, `found(lens, piece, spot)` is told which place was pressed. */
  constructor({ process, names, change, found, checked }) {
    this.process = process;
    this.names = names;
    this.strips = new Map();
    this.wanted = new Set();
    this.change = change;
    this.found = found;
    this.checked = checked;
    this.result = null;
    this.page = 0;
    this.askForStrips = newest(() => this.askStrips());
    this.slow = newest(() => this.askSlow());
    this.whenQuiet = whenQuiet(500, () => this.slow());
  }

  /** The set has changed, or one lens of it: strips at once, the rest when typing pauses; nothing while it cannot be read. */
  changed(readable, lens) {
    this.readable = readable;
    const all = this.names().map((_, i) => i);
    for (const one of lens === null ? all : [lens]) this.wanted.add(one);
    if (!readable) return;
    this.askForStrips();
    this.result = null;
    at("suggestion").replaceChildren();
    at("found").setAttribute("aria-busy", "true");
    this.whenQuiet();
  }

  /** One lens after the other, so that a keystroke never waits for a whole set. */
  async askStrips() {
    while (this.wanted.size > 0) {
      const lens = Math.min(...this.wanted);
      this.wanted.delete(lens);
      if (lens >= this.names().length) continue;
      try {
        this.strips.set(lens, await ask("/strips", { process: this.process(), lens }));
      } catch (refused) {
        this.strips.set(lens, { strips: [], unfit: [refused.message] });
      }
      this.showStrips(lens);
    }
  }

  showStrips(only = null) {
    const names = this.names();
    const root = at("strips");
    while (root.children.length > names.length) root.lastElementChild.remove();
    while (root.children.length < names.length) root.append(element("div"));
    const spotsOf = (lens, piece) => this.result?.strips.find((strip) => strip.lens === lens && strip.piece === piece)?.findings ?? [];
    names.forEach((name, i) => {
      const told = this.strips.get(i);
      if (told && (only === null || only === i)) root.children[i].replaceWith(flatStrips({ name, ...told }, i, spotsOf, this.found));
    });
  }

  async askSlow() {
    if (!this.readable) return;
    // what was asked before the set became unreadable is refused; what is shown stays then
    const refusedAt = (id, refused) => this.readable && at(id).replaceChildren(element("p", { class: "unfit", text: refused.message }));
    const named = { process: this.process() };
    at("found").replaceChildren(element("p", { class: "working", text: "Looking for what cannot be made …" }));
    try {
      this.result = await ask("/check", named);
      this.showFound();
      this.showStrips();
      this.checked(this.result);
    } catch (refused) {
      refusedAt("found", refused);
    }
    at("found").removeAttribute("aria-busy");
    try {
      this.sheets = await ask("/sheets", named);
      this.showSheet();
    } catch (refused) {
      refusedAt("sheet-view", refused);
    }
    try {
      const told = await ask("/files", named);
      this.showFiles(told, named.process);
    } catch (refused) {
      refusedAt("file-list", refused);
    }
  }

  showFound() {
    const { strips, places } = this.result;
    if (strips.length === 0) {
      at("found").replaceChildren(element("p", { class: "good", text: "Everything can be made as drawn." }));
      return;
    }
    const name = (lens) => this.names()[lens] ?? `lens ${lens + 1}`;
    const items = strips.map((strip) => {
      const first = strip.findings[0];
      const words = `${name(strip.lens)}, ${strip.piece}: ${strip.unfit ?? strip.worst}`;
      return element("li", {}, first ? element("button", { type: "button", class: "plain", text: words, onclick: () => this.found(strip.lens, strip.piece, first) }) : words);
    });
    at("found").replaceChildren(
      element("p", { text: places === 1 ? "One place is too fine; it is circled on the strip above." : `${places} places are too fine or do not fit; they are circled on the strips above.` }),
      element("ul", {}, ...items));
    const button = element("button", { type: "button", text: "Find the smallest change that can be made", onclick: () => this.askRemedy(button) });
    at("suggestion").replaceChildren(button);
  }

  async askRemedy(button) {
    button.disabled = true;
    button.textContent = "Trying changes …";
    try {
      const told = await ask("/suggestion", { process: this.process() });
      if (told.nothing) {
        at("suggestion").replaceChildren(element("p", { text: `${told.nothing}.` }));
        return;
      }
      at("suggestion").replaceChildren(
        element("p", { text: "With this everything can be made, as tried:" }),
        element("ul", {}, ...told.lines.map((line) => element("li", {}, element("code", { text: line })))),
        element("button", { type: "button", text: "Put it into the set", onclick: () => this.change(told.edits, "the change that can be made", "") }));
    } catch (refused) {
      at("suggestion").replaceChildren(element("p", { class: "unfit", text: refused.message }));
    }
  }

  showSheet() {
    const { sheets, notes } = this.sheets;
    if (sheets.length === 0) {
      at("sheet-view").replaceChildren(element("p", { text: "Nothing is laid on sheets." }));
      return;
    }
    this.page = Math.min(this.page, sheets.length - 1);
    const sheet = sheets[this.page];
    const turn = (by) => {
      this.page += by;
      this.showSheet();
      at("sheet-view").querySelector(by < 0 ? ".before" : ".after")?.focus();
    };
    const words = `${sheet.what === "sheet" ? "Sheet" : "Transfer guide"} ${this.page + 1} of ${sheets.length}, ${sheet.paper}`;
    const svg = drawing(sheet.svg, words);
    at("sheet-view").replaceChildren(
      element("div", { class: "turn" },
        element("button", { type: "button", class: "before", text: "Sheet before", "aria-disabled": String(this.page === 0), onclick: () => this.page > 0 && turn(-1) }),
        element("span", { role: "status", text: words }),
        element("button", { type: "button", class: "after", text: "Next sheet", "aria-disabled": String(this.page === sheets.length - 1), onclick: () => this.page < sheets.length - 1 && turn(1) })),
      element("div", { class: "sheet", tabindex: "0", role: "group", "aria-label": "The sheet" }, svg),
      ...notes.map((note) => element("p", { class: "line", text: note })));
  }

  showFiles({ files, command }, process) {
    const groups = new Map();
    for (const name of files) {
      const stem = name.replace(/\.[a-z]+$/, "");
      groups.set(stem, [...(groups.get(stem) ?? []), name]);
    }
    const rows = [...groups].map(([stem, names]) => element("tr", {},
      element("th", { scope: "row", text: stem }),
      element("td", {}, ...names.map((name) => element("a", {
        href: `/files/${encodeURIComponent(name)}?process=${process}`, download: name, "aria-label": `Save ${name}`, text: name.split(".").pop().toUpperCase(),
      })))));
    at("file-list").replaceChildren(
      element("table", { class: "files" }, element("caption", { text: "Each file to save, as the command line writes it" }), element("tbody", {}, ...rows)),
      element("p", { class: "line" }, "All of them at once: ", element("code", { text: command })));
  }
}
