// Fields of the set file: what a lens says of itself, and how every strip looks.

import { element } from "/assets/dom.js";

const NAMES = {
  "set": "Scales", "style": "Look", "process.film": "Film", "process.vinyl": "Vinyl", "process.engrave": "Engraving",
  "lens": "Name ring", "lens.focus": "Focus ring", "lens.iris": "Iris ring",
};

/** Fields of some tables. `change(edits, what, mark)` sends edits; `lens` is null where they are of the whole set. */
export class Fields {
  constructor(root, fields, change) {
    this.root = root;
    this.fields = fields;
    this.change = change;
    this.visit = 0;
    this.inputs = [];
  }

  /** Builds the tables that are asked for. */
  build(tables, lens) {
    const built = `${tables.join()} ${lens}`;
    if (this.built === built) return;
    this.built = built;
    this.inputs = [];
    this.root.replaceChildren(...tables.map((table) => {
      const fields = this.fields.filter((field) => field.table === table);
      const [usual, rare] = [fields.filter((field) => !field.rare), fields.filter((field) => field.rare)];
      const rows = (some) => element("div", { class: "rows" }, ...some.map((field) => this.field(field, lens)));
      const more = rare.length > 0 ? element("details", {}, element("summary", { text: "More" }), rows(rare)) : null;
      return element("fieldset", { class: "fields" }, element("legend", { text: NAMES[table] }), rows(usual), more);
    }));
  }

  field(field, lens) {
    const id = `${field.table}.${field.key}`;
    const hint = `hint ${id}`.replaceAll(/[^a-z]/g, "-");
    const place = lens === null ? id : id.replace(/^lens/, `lens.${lens}`);
    const common = { id: `field-${id}`.replaceAll(".", "-"), "data-place": place, "aria-describedby": hint };
    let input;
    if (field.sort === "words" || field.sort === "flag") {
      const words = field.sort === "flag" ? [["true", "yes"], ["false", "no"]] : field.words.map((word) => [word, word]);
      input = element("select", common, element("option", { value: "", text: "as usual" }), ...words.map(([value, text]) => element("option", { value, text })));
    } else if (field.sort === "units") {
      const both = [["", "as usual"], ["m", "metres"], ["ft", "feet"], ["m, ft", "metres and feet"], ["ft, m", "feet and metres"]];
      input = element("select", common, ...both.map(([value, text]) => element("option", { value, text })));
    } else {
      input = element("input", { ...common, type: "text", autocomplete: "off", spellcheck: "false" });
    }
    input.addEventListener("focus", () => { this.visit += 1; });
    input.addEventListener("input", () => {
      const edit = { kind: "put", table: field.table, key: field.key, text: input.value };
      if (lens !== null) edit.lens = lens;
      this.change([edit], field.label.toLowerCase(), `${place}.${this.visit}`);
    });
    this.inputs.push({ input, place, id });
    const label = element("label", { for: common.id, text: field.label });
    return element("div", { class: "field" }, element("span", { class: "asks" }, label, element("small", { id: hint, text: field.hint })), input);
  }

  show(state, force) {
    for (const { input, place, id } of this.inputs) {
      const text = state.values[place] ?? "";
      if (document.activeElement !== input || force) {
        if (input.tagName === "SELECT" && ![...input.options].some((option) => option.value === text)) input.append(element("option", { value: text, text }));
        if (input.value !== text) input.value = text;
      }
      if (input.tagName === "INPUT") input.placeholder = state.defaults?.[id] ?? "";
      // what says something is never hidden
      if (text) input.closest("details")?.setAttribute("open", "");
    }
  }
}
