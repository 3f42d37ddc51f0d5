// One lens to look at and turn: the drawing, a slider over each ring, and what stands under its index.

import { LensView } from "/assets/lens.js";
import { drawing, element, newest } from "/assets/dom.js";
import { ask } from "/assets/server.js";

/** Degrees of a ring to an arrow key, and with the shift key. */
const STEP = 0.25;
const LARGE_STEP = 5;

export class Stage {
  /** `said(kind, told)` is told what stands under the index of a ring, whenever that is known anew. */
  constructor({ title, said }) {
    this.said = said;
    this.model = null;
    this.question = null;
    this.places = { focus: null, iris: null };
    this.canvas = element("canvas", { "aria-hidden": "true" });
    this.over = element("div", { class: "over" });
    this.values = element("div", { class: "values" });
    this.unfit = element("p", { class: "unfit", role: "status" });
    this.legend = element("p", { class: "legend", text: "Marks in ochre are not sure enough: their error may leave the depth of field." });
    this.heading = element("h3", { text: title });
    this.root = element("article", { class: "stage" }, this.heading, element("div", { class: "picture" }, this.canvas, this.over), this.values, this.legend, this.unfit);
    this.view = new LensView(this.canvas, { onlayout: (boxes) => this.overlay(boxes) });
    this.sliders = new Map();
    this.readouts = new Map();
    this.ask = { focus: newest((...given) => this.askFor("focus", ...given)), iris: newest((...given) => this.askFor("iris", ...given)) };
  }

  /** Shows a lens; `question` is what the server needs to find it again. Rings stay where they stand if the lens is the same. */
  show(model, question, title) {
    const same = this.question && this.question.lens === question.lens;
    this.question = question;
    this.model = model;
    this.heading.textContent = title;
    this.unfit.textContent = (model.unfit ?? []).join("; ");
    this.legend.hidden = !model.rings.some((ring) => ring.shapes.some((shape) => shape.doubtful));
    if (model.rings.length === 0) return;
    const kinds = model.rings.map((ring) => ring.kind);
    if (!same || kinds.join() !== [...this.sliders.keys()].join()) this.build(model);
    this.view.show({ ...model, spots: this.spots ?? [] });
    for (const ring of model.rings) {
      const first = ring.marks.length > 2 ? ring.marks[Math.floor(ring.marks.length / 2)][0] : ring.from_deg;
      this.turn(ring.kind, same && this.places[ring.kind] !== null ? this.places[ring.kind] : first);
    }
  }

  setSpots(spots) {
    this.spots = spots;
    if (this.model?.rings.length) {
      this.view.show({ ...this.model, spots });
      for (const ring of this.model.rings) this.view.turn(ring.kind, this.places[ring.kind]);
    }
  }

  ring(kind) {
    return this.model?.rings.find((ring) => ring.kind === kind) ?? null;
  }

  build(model) {
    this.sliders.clear();
    this.readouts.clear();
    this.places = { focus: null, iris: null };
    this.over.replaceChildren();
    this.values.replaceChildren();
    for (const ring of model.rings) {
      const slider = element("div", {
        class: "ring", role: "slider", tabindex: "0", "aria-label": `${ring.title} of ${model.name}`, "data-ring": ring.kind,
      });
      this.listen(slider, ring.kind);
      this.sliders.set(ring.kind, slider);
      this.over.append(slider);
      const value = element("strong", { class: "value" });
      const also = element("span", { class: "also" });
      const rest = element("p", { class: "rest" });
      this.readouts.set(ring.kind, { value, also, rest });
      this.values.append(element("div", { class: `under ${ring.kind}`, "data-under": ring.kind }, element("p", {}, value, also), rest));
    }
  }

  listen(slider, kind) {
    let from = null;
    slider.addEventListener("pointerdown", (event) => {
      slider.setPointerCapture(event.pointerId);
      slider.focus({ preventScroll: true });
      from = { x: event.clientX, y: event.clientY, deg: this.places[kind] };
      event.preventDefault();
    });
    slider.addEventListener("pointermove", (event) => {
      if (!from) return;
      const along = this.view.degreesPerPixel(kind);
      const [x, y] = typeof along === "number" ? [0, along] : [along.x, along.y];
      this.turn(kind, from.deg + (event.clientX - from.x) * x + (event.clientY - from.y) * y);
    });
    const end = () => { from = null; };
    slider.addEventListener("pointerup", end);
    slider.addEventListener("pointercancel", end);
    slider.addEventListener("wheel", (event) => {
      if (event.ctrlKey) return;
      event.preventDefault();
      this.turn(kind, this.places[kind] + Math.sign(event.deltaY || event.deltaX) * (event.shiftKey ? LARGE_STEP : 4 * STEP));
    }, { passive: false });
    slider.addEventListener("keydown", (event) => {
      const ring = this.ring(kind);
      const here = this.places[kind];
      const step = event.shiftKey ? LARGE_STEP : STEP;
      const marks = ring.marks.map(([deg]) => deg).sort((a, b) => a - b);
      const to = {
        ArrowRight: () => here + step,
        ArrowUp: () => here + step,
        ArrowLeft: () => here - step,
        ArrowDown: () => here - step,
        PageUp: () => marks.find((deg) => deg > here + 1e-3) ?? ring.to_deg,
        PageDown: () => marks.findLast((deg) => deg < here - 1e-3) ?? ring.from_deg,
        Home: () => ring.from_deg,
        End: () => ring.to_deg,
      }[event.key];
      if (!to || event.ctrlKey || event.metaKey || event.altKey) return;
      event.preventDefault();
      this.turn(kind, to());
    });
  }

  /** Turns a ring to a reading, within its marks, and asks what stands under the index there. */
  turn(kind, deg) {
    const ring = this.ring(kind);
    if (!ring) return;
    const [least, most] = [Math.min(ring.from_deg, ring.to_deg), Math.max(ring.from_deg, ring.to_deg)];
    this.places[kind] = Math.min(most, Math.max(least, deg));
    this.view.turn(kind, this.places[kind]);
    const slider = this.sliders.get(kind);
    slider.setAttribute("aria-valuemin", least);
    slider.setAttribute("aria-valuemax", most);
    slider.setAttribute("aria-valuenow", this.places[kind].toFixed(2));
    this.ask[kind]({ deg: this.places[kind] });
  }

  /** Turns the focus ring to a distance, as typed or said. */
  turnTo(distance) {
    this.ask.focus({ distance, follow: true });
  }

  async askFor(kind, { deg, distance, follow }) {
    try {
      const told = await ask("/at", { ...this.question, ring: kind, deg, distance });
      if (follow && this.ring(kind)) {
        const ring = this.ring(kind);
        this.places[kind] = Math.min(Math.max(told.deg, Math.min(ring.from_deg, ring.to_deg)), Math.max(ring.from_deg, ring.to_deg));
        this.view.turn(kind, this.places[kind]);
        this.sliders.get(kind)?.setAttribute("aria-valuenow", this.places[kind].toFixed(2));
      }
      this.say(kind, told);
    } catch (refused) {
      this.say(kind, { value: "–", also: "", trust: refused.message });
    }
  }

  say(kind, told) {
    const readout = this.readouts.get(kind);
    if (!readout) return;
    this.told = { ...this.told, [kind]: told };
    this.said(kind, told);
    readout.value.textContent = told.value;
    readout.also.textContent = told.also ? ` ${told.also}` : "";
    const rest = [told.depth && `sharp ${told.depth}`, told.trust].filter(Boolean);
    readout.rest.replaceChildren(...rest.map((words, i) => element("span", { class: i === rest.length - 1 ? "trust" : "depth", text: words })));
    readout.rest.classList.toggle("doubtful", Boolean(told.doubtful));
    const slider = this.sliders.get(kind);
    slider?.setAttribute("aria-valuetext", [told.value, ...rest].join("; "));
  }

  overlay(boxes) {
    for (const box of boxes) {
      const slider = this.sliders.get(box.kind);
      if (!slider) continue;
      for (const side of ["left", "top", "width", "height"]) slider.style.setProperty(side, `${box[side]}px`);
    }
  }
}

/** Nearer than this, places would lie over each other and could not be pressed, px. */
const SPOT_APART = 26;

/** Places far enough apart to press; those that lie together become one that names how many. */
function apart(spots, [width, height]) {
  const kept = [];
  for (const spot of spots) {
    const [x, y] = [spot.x * width, spot.y * height];
    const near = kept.find((one) => Math.max(Math.abs(one.at[0] - x), Math.abs(one.at[1] - y)) < SPOT_APART);
    if (near) near.more += 1;
    else kept.push({ spot, at: [x, y], more: 0 });
  }
  return kept.map(({ spot, more }) => ({ ...spot, first: spot.words, words: more === 0 ? spot.words : `${spot.words}; and ${more} more beside it` }));
}

/** The flat strips of a lens; its spots are shown as places to press. */
export function flatStrips(lens, number, spotsOf, chosen) {
  return element("div", { class: "lens-strips" },
    element("h3", { text: lens.name }),
    ...lens.unfit.map((words) => element("p", { class: "unfit", text: words })),
    ...lens.strips.map((strip) => {
      const svg = drawing(strip.svg, `${lens.name}, ${strip.piece}, drawn flat`);
      const held = element("div", { class: "strip", tabindex: "0", role: "group", "aria-label": `${lens.name}, ${strip.piece}` }, svg);
      svg.style.setProperty("width", `calc(${strip.width_mm} * var(--mm))`);
      svg.style.setProperty("height", `calc(${strip.height_mm} * var(--mm))`);
      const over = element("div", { class: "spots" });
      over.style.setProperty("width", `calc(${strip.width_mm} * var(--mm))`);
      over.style.setProperty("height", `calc(${strip.height_mm} * var(--mm))`);
      const pxPerMm = parseFloat(getComputedStyle(document.documentElement).getPropertyValue("--mm"));
      for (const spot of apart(spotsOf(number, strip.piece), [strip.width_mm * pxPerMm, strip.height_mm * pxPerMm])) {
        const button = element("button", { type: "button", class: "spot", title: spot.words, "aria-label": spot.words, onclick: () => chosen(number, strip.piece, spot) });
        button.style.setProperty("left", `${100 * spot.x}%`);
        button.style.setProperty("top", `${100 * spot.y}%`);
        over.append(button);
      }
      held.append(over);
      return element("figure", {}, held, element("figcaption", { text: `${strip.piece}, ${strip.width_mm.toFixed(1)} × ${strip.height_mm.toFixed(1)} mm` }));
    }));
}
