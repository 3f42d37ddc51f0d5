// The table of readings: typed or pasted, every keystroke goes into the file.

import { at, drawing, element } from "/assets/dom.js";

const COLUMNS = {
  focus: [["distance", "Distance", "1.5 m"], ["at", "Ring at", "42.5 deg"], ["turned", "Turned", ""]],
  iris: [["stop", "Stop", "5.6"], ["at", "Ring at", "30 deg"]],
};

const WAYS = ["", "toward close", "toward infinity"];

export class Readings {
  /** `change(edits, what, mark)` sends edits. */
  constructor(ring, root, change) {
    this.ring = ring;
    this.root = root;
    this.change = change;
    this.rows = 0;
    this.visit = 0;
    this.body = element("tbody");
    const heads = COLUMNS[ring].map(([, label]) => element("th", { scope: "col", text: label }));
    const title = ring === "focus" ? "Readings of the focus ring" : "Readings of the iris ring";
    this.source = element("p", { class: "source" });
    this.table = element("table", { class: "readings" },
      element("caption", { text: title }),
      element("thead", {}, element("tr", {}, element("th", { scope: "col", text: "No." }), ...heads, element("th", { scope: "col", text: "Off the law by" }), element("th", { scope: "col" }, element("span", { class: "out-of-sight", text: "Take out" })))),
      this.body);
    root.replaceChildren(this.table, this.source);
  }

  show(lens, state, rows, force) {
    this.lens = lens;
    const readings = state.lenses[lens]?.[this.ring] ?? [];
    const there = state.lenses[lens]?.[`has_${this.ring}`];
    this.root.hidden = !there;
    if (!there) return;
    while (this.body.rows.length < readings.length + 1) this.body.append(this.row(this.body.rows.length));
    while (this.body.rows.length > readings.length + 1) this.body.lastElementChild.remove();
    this.rows = readings.length;
    this.unit = state.lenses[lens]?.units?.[0] ?? "m";
    const file = readings[0]?.file;
    this.source.textContent = file ? `These readings stand in ${file}.` : "";
    [...this.body.rows].forEach((line, i) => {
      const cells = readings[i]?.cells ?? {};
      const fresh = i >= readings.length;
      line.classList.toggle("fresh", fresh);
      line.cells[0].textContent = fresh ? "new" : String(i + 1);
      for (const input of line.querySelectorAll("[data-column]")) {
        const text = cells[input.dataset.column] ?? "";
        const typing = document.activeElement === input && !force;
        if (!typing && input.value !== text) {
          if (input.tagName === "SELECT" && ![...input.options].some((option) => option.value === text)) input.append(element("option", { value: text, text }));
          input.value = text;
        }
        input.dataset.place = `lens.${lens}.${this.ring}.readings.${i}.${input.dataset.column}`;
      }
      const told = rows?.find((row) => row.number === i + 1);
      line.classList.toggle("odd", Boolean(told?.odd));
      line.cells[line.cells.length - 2].textContent = told ? told.words + (told.odd ? ": does not belong with the others" : "") : "";
      line.querySelector("button").hidden = fresh;
    });
  }

  row(number) {
    const cells = COLUMNS[this.ring].map(([column, label, example]) => {
      const name = `${label}, reading ${number + 1}`;
      const input = column === "turned"
        ? element("select", { "data-column": column, "aria-label": name }, ...WAYS.map((way) => element("option", { value: way, text: way || "not noted" })))
        : element("input", { type: "text", "data-column": column, "aria-label": name, placeholder: example, autocomplete: "off", spellcheck: "false" });
      input.addEventListener("focus", () => { this.visit += 1; });
      input.addEventListener("input", () => this.typed(number, column, input));
      input.addEventListener("paste", (event) => this.pasted(event, number, column));
      input.addEventListener("keydown", (event) => this.moved(event, number, column));
      return element("td", {}, input);
    });
    const drop = element("button", { type: "button", class: "drop", "aria-label": `Take out reading ${number + 1}`, title: "Take out", text: "×", onclick: () => this.drop(number) });
    return element("tr", {}, element("th", { scope: "row" }), ...cells, element("td", { class: "off" }), element("td", {}, drop));
  }

  typed(row, column, input) {
    const common = { lens: this.lens, ring: this.ring };
    const mark = `${this.ring}.${this.lens}.${row}.${column}.${this.visit}`;
    if (row < this.rows) {
      this.change([{ kind: "cell", ...common, row, column, text: input.value }], `reading ${row + 1}`, mark);
      return;
    }
    // the new line is a reading from its first keystroke on
    const cells = Object.fromEntries(COLUMNS[this.ring].filter(([name]) => name !== "turned").map(([name]) => [name, name === column ? input.value : ""]));
    if (column === "turned") cells.turned = input.value;
    this.rows += 1;
    this.body.append(this.row(this.rows));
    this.change([{ kind: "add", ...common, before: row, cells }], `reading ${row + 1}`, mark);
  }

  pasted(event, row, column) {
    const text = event.clipboardData?.getData("text/plain") ?? "";
    if (!/[\t\n\r;]/.test(text.trim())) return;
    event.preventDefault();
    document.activeElement?.blur();
    this.change([{ kind: "paste", lens: this.lens, ring: this.ring, row, rows: this.rows, column, text, unit: this.unit }], "pasted readings", "");
  }

  drop(row) {
    this.change([{ kind: "drop", lens: this.lens, ring: this.ring, row }], `taking out reading ${row + 1}`, "");
    (this.body.rows[row]?.querySelector("input") ?? this.table).focus();
  }

  moved(event, row, column) {
    const step = { Enter: event.shiftKey ? -1 : 1, ArrowDown: 1, ArrowUp: -1 }[event.key];
    if (!step || event.target.tagName === "SELECT") return;
    const to = this.body.rows[row + step]?.querySelector(`[data-column="${column}"]`);
    if (to) {
      event.preventDefault();
      to.focus();
    }
  }

  /** Adds a reading of a distance that was proposed, and goes to where the ring's position is typed. */
  propose(distance) {
    this.change([{ kind: "add", lens: this.lens, ring: this.ring, before: this.rows, cells: { distance, at: "" } }], `reading ${this.rows + 1}`, "");
    this.rows += 1;
    this.body.append(this.row(this.rows));
    const line = this.body.rows[this.rows - 1];
    line.querySelector('[data-column="distance"]').value = distance;
    line.querySelector('[data-column="at"]').focus();
  }
}

/** The fit in words, and its plot. */
export function showFit(model, plot) {
  const fit = model?.fit;
  const lines = fit ? [fit.line, ...fit.lines] : [];
  at("fit").replaceChildren(
    ...lines.map((line, i) => element("p", { class: i === 0 ? "law" : "line", text: line })),
    ...(model?.doubts ?? []).map((words) => element("p", { class: "doubt", text: words })),
    ...(model?.notes ?? []).map((words) => element("p", { class: "line", text: words })));
  at("plot").hidden = !plot;
  if (plot) {
    at("plot").setAttribute("aria-label", `Plot of the fit: ${lines.join(". ")}`);
    at("plot").replaceChildren(drawing(plot));
  }
}
