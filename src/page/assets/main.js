// The page: what is open, what is looked at, and who is told when something changes.

import { at, element, newest, whenQuiet } from "/assets/dom.js";
import { Changes, ask } from "/assets/server.js";
import { Stage } from "/assets/stage.js";
import { Readings, showFit } from "/assets/readings.js";
import { Fields } from "/assets/choices.js";
import { Making } from "/assets/making.js";

const CARD_MM = 85.6;
/** CSS's own millimetre, until the screen is fitted to a card. */
const CSS_MM = 96 / 25.4;
/** How far from the screen one sits, m; what is seen from farther away is drawn smaller by as much. */
const SCREEN = 0.5;

const kept = {
  get: (key, otherwise) => localStorage.getItem(`ringwright.${key}`) ?? otherwise,
  set: (key, value) => localStorage.setItem(`ringwright.${key}`, value),
};

const app = { state: null, model: null, lens: 0, process: kept.get("process", "film"), beside: null, pxPerMm: Number(kept.get("px-per-mm", CSS_MM)) };

const changes = new Changes({
  context: () => ({ base: app.state.version, process: app.process, lens: app.lens }),
  done: (told, path, body) => {
    quiet("gone");
    // what is being typed may be ahead of this answer, also in a row that was new a moment ago
    const forced = path !== "/edit" || body.edits?.some((edit) => edit.kind === "drop" || edit.kind === "paste");
    take(told.state, forced);
    if (told.lens) takeLens(told.lens);
    // readings are of one lens; anything else may show on all
    const readings = path === "/edit" && body.edits.every((edit) => edit.ring && edit.lens === app.lens);
    changed(readings ? app.lens : null);
  },
  refused: (refused, path, body) => {
    if (refused.state) {
      const lost = path === "/edit" && refused.status === 409 && !refused.state.elsewhere;
      take(refused.state, true);
      if (lost) notice("lost", `The set was changed in another window meanwhile. What you changed last (${body.what}) was not taken: do it again.`);
      if (refused.status === 422) notice("refused", refused.message);
      app.lensAgain();
    } else if (refused.status) {
      notice("refused", refused.message);
    } else {
      gone();
    }
  },
});

const change = (edits, what, mark) => {
  quiet("lost");
  quiet("refused");
  quiet("spot");
  changes.send("/edit", { edits, what, mark });
};

const stages = [new Stage({ title: "", said: (kind) => kind === "focus" && together() }), new Stage({ title: "", said: () => {} })];
const readings = { focus: new Readings("focus", at("focus-readings"), change), iris: new Readings("iris", at("iris-readings"), change) };
const making = new Making({
  process: () => app.process,
  names: () => app.state.lenses.map((lens) => lens.name),
  change,
  found: (lens, piece, spot) => showSpot(lens, piece, spot),
  checked: () => stages[0].setSpots(spotsOf(app.lens)),
});
let lensFields = null;
let styleFields = null;

app.lensAgain = newest(async () => {
  const lens = app.lens;
  const [model] = await Promise.all([ask("/lens", { lens, process: app.process })]);
  if (lens === app.lens) takeLens(model);
});
const plotAgain = newest(async () => {
  const lens = app.lens;
  try {
    const told = await ask("/plot", { lens, process: app.process });
    app.plot = { lens, svg: told.svg };
  } catch {
    app.plot = null;
  }
  fit();
});
const besideAgain = newest(async () => {
  if (!app.beside) return;
  const { lens, unit } = app.beside;
  const model = await ask("/lens", { lens, unit, process: app.process });
  if (app.beside?.lens === lens && app.beside.unit === unit) {
    stages[1].show(model, { lens, unit, process: app.process }, besideName(app.beside));
    together();
  }
});
const nextAgain = whenQuiet(300, newest(async () => {
  const lens = app.lens;
  try {
    const told = await ask("/next", { lens, process: app.process });
    if (lens !== app.lens) return;
    at("next").replaceChildren(element("p", { text: told.words }),
      ...(told.distance ? [element("button", { type: "button", text: `Add a reading at ${told.distance}`, onclick: () => readings.focus.propose(told.distance) })] : []));
  } catch (refused) {
    at("next").replaceChildren(element("p", { class: "line", text: refused.status === 404 ? "" : refused.message }));
  }
}));

/** The fit and its plot, whichever of the two comes first. */
function fit() {
  showFit(app.model, app.plot?.lens === app.lens ? app.plot.svg : null);
}

/** Everything that follows from the set's texts, beyond the lens that came with the answer. */
function changed(lens = null) {
  const readable = app.state.faults.length === 0;
  making.changed(readable, lens);
  if (!readable) return;
  plotAgain();
  besideAgain();
  nextAgain();
}

function take(state, forced) {
  app.state = state;
  if (app.lens >= state.lenses.length) app.lens = 0;
  at("set-name").textContent = state.set ?? state.file;
  document.title = `${state.set ?? state.file} – ringwright`;
  at("saved").textContent = state.not_saved ? `${state.file}: not saved: ${state.not_saved}` : `${state.file}: saved`;
  at("saved").classList.toggle("unsaved", Boolean(state.not_saved));
  for (const [id, what] of [["undo", state.undo], ["redo", state.redo]]) {
    at(id).disabled = !what;
    at(id).title = what ?? "";
    at(id).setAttribute("aria-label", what ? `${id === "undo" ? "Undo" : "Redo"}: ${what}` : id === "undo" ? "Undo" : "Redo");
  }
  showLenses(forced);
  showFields(forced);
  showReadings(forced);
  showFaults();
  showElsewhere();
}

function takeLens(model) {
  app.model = model;
  stages[0].show(model, { lens: app.lens, process: app.process }, model.name);
  showReadings(false);
  fit();
  eye();
}

function showReadings(forced) {
  const rows = app.state.faults.length === 0 ? app.model?.fit?.rows : null;
  readings.focus.show(app.lens, app.state, rows, forced);
  readings.iris.show(app.lens, app.state, null, forced);
}

function showFields(forced) {
  if (!lensFields) return;
  const lens = app.state.lenses[app.lens];
  const tables = ["lens", lens?.has_focus && "lens.focus", lens?.has_iris && "lens.iris"].filter(Boolean);
  lensFields.build(tables, app.lens);
  styleFields.build(["set", "style", `process.${app.process}`], null);
  lensFields.show(app.state, forced);
  styleFields.show(app.state, forced);
}

function showLenses() {
  const names = app.state.lenses.map((lens) => lens.name);
  const shown = JSON.stringify(names);
  if (app.shownNames !== shown) {
    app.shownNames = shown;
    at("lenses").replaceChildren(element("legend", { class: "out-of-sight", text: "Lens" }), ...names.map((name, i) =>
      element("label", {}, element("input", { type: "radio", name: "lens", value: i, checked: i === app.lens, onchange: () => look(i) }), name)));
  }
  showBeside();
}

function besideName({ lens, unit }) {
  const name = app.state.lenses[lens]?.name ?? "";
  return unit ? `${name} in ${unit === "m" ? "metres" : "feet"}` : name;
}

function showBeside() {
  const options = [["", "nothing"]];
  for (const unit of ["m", "ft"]) options.push([`${app.lens} ${unit}`, besideName({ lens: app.lens, unit })]);
  app.state.lenses.forEach((lens, i) => i !== app.lens && options.push([`${i} `, lens.name]));
  const select = at("beside");
  const before = select.value;
  select.replaceChildren(...options.map(([value, text]) => element("option", { value, text })));
  select.value = options.some(([value]) => value === before) ? before : "";
  if (select.value !== before) chooseBeside();
}

function chooseBeside() {
  const value = at("beside").value;
  const [lens, unit] = value.split(" ");
  app.beside = value ? { lens: Number(lens), unit: unit || null } : null;
  at("stages").classList.toggle("two", Boolean(app.beside));
  at("together-label").hidden = !app.beside;
  stages[1].root.hidden = !app.beside;
  besideAgain();
}

/** Looks at another lens; done when it is shown. */
async function look(lens) {
  app.lens = lens;
  app.model = null;
  kept.set("lens", app.state.lenses[lens].name);
  take(app.state, true);
  plotAgain();
  nextAgain();
  await app.lensAgain();
  stages[0].setSpots(spotsOf(lens));
}

/** The second lens follows the first one: to the same place of the ring if it is the same lens, else to the same distance. */
function together() {
  if (!app.beside || !at("together").checked) return;
  const distance = stages[0].told?.focus?.distance;
  if (app.beside.lens === app.lens) stages[1].turn("focus", stages[0].places.focus);
  else if (distance) stages[1].turnTo(distance);
}

function spotsOf(lens) {
  return (making.result?.strips ?? []).filter((strip) => strip.lens === lens).flatMap((strip) => strip.findings
    .filter((finding) => finding.on_ring).map((finding) => ({ ring: strip.piece, turn: finding.on_ring[0], height: finding.on_ring[1], text: finding.words })));
}

/** Brings a place that cannot be made into sight. */
async function showSpot(lens, piece, spot) {
  if (lens !== app.lens) {
    document.querySelector(`input[name="lens"][value="${lens}"]`).checked = true;
    await look(lens);
  }
  const list = spotsOf(lens);
  stages[0].setSpots(list);
  // of a scale that goes round the ring twice, the copy that this side of the camera sees
  const same = (one) => one.ring === piece && one.text === (spot.first ?? spot.words);
  const ways = list.map((one, i) => same(one) && stages[0].view.turnToShow(i)).filter(Boolean);
  const [to] = ways.sort((a, b) => a.short - b.short);
  if (to) stages[0].turn(to.kind, to.deg);
  notice("spot", spot.words, [["Well seen", () => quiet("spot")]]);
}

function showFaults() {
  const { faults } = app.state;
  at("faults").hidden = faults.length === 0;
  document.querySelectorAll("[aria-invalid]").forEach((input) => {
    input.removeAttribute("aria-invalid");
    input.removeAttribute("aria-errormessage");
  });
  at("fault-list").replaceChildren(...faults.map((fault, i) => {
    const input = fault.place && document.querySelector(`[data-place="${CSS.escape(fault.place)}"]`);
    const id = `fault-${i}`;
    if (input) {
      input.setAttribute("aria-invalid", "true");
      input.setAttribute("aria-errormessage", id);
    }
    const words = element("p", { id, "aria-live": "polite", text: fault.label ? `${fault.message}: ${fault.label}` : fault.message });
    const ways = fault.help.map((help) => element("p", { class: "line", text: help }));
    const go = input ? element("button", { type: "button", text: "Go there", onclick: () => input.focus() }) : null;
    return element("li", {}, words, ...ways, go, element("details", {}, element("summary", { text: fault.line ? `Line ${fault.line}` : "As the command line says it" }), element("pre", { tabindex: "0", text: fault.whole })));
  }));
}

const notices = new Map();

function notice(key, words, ways = []) {
  if (notices.get(key)?.words === words) return;
  notices.set(key, { words, ways });
  drawNotices();
}

function quiet(key) {
  if (notices.delete(key)) drawNotices();
}

function drawNotices() {
  at("notice").replaceChildren(...[...notices].map(([key, { words, ways }]) => element("div", { class: "notice", "data-notice": key }, element("p", { text: words }),
    ...ways.map(([text, act]) => element("button", { type: "button", text, onclick: act })))));
}

function showElsewhere() {
  const { elsewhere, file } = app.state;
  if (!elsewhere) return quiet("elsewhere");
  const settle = (theirs) => changes.send("/settle", { theirs });
  const ways = elsewhere.gone ? [[`Write ${file} again`, () => settle(false)]] : [["Show what is on disk", () => settle(true)], ["Keep what is shown here", () => settle(false)]];
  notice("elsewhere", `${elsewhere.words} Nothing is saved until you choose; the other version stays within reach of Undo.`, ways);
}

function gone() {
  notice("gone", `ringwright does not answer. Start it again with  ringwright page ${app.state?.path ?? "SET"} --port ${location.port}  and go on here; the file holds everything but what you typed since.`);
}

async function listen() {
  for (;;) {
    try {
      const { news } = await ask("/news", { since: app.state.news }, 1);
      quiet("gone");
      if (news !== app.state.news) {
        const before = app.state.version;
        const state = await ask("/state", { process: app.process });
        if (state.version < app.state.version && state.news < app.state.news) location.reload();
        const fresh = state.version !== before && state.version !== app.state.version;
        take(state, false);
        if (fresh) {
          app.lensAgain();
          changed();
        }
      }
    } catch (refused) {
      if (!refused.status) gone();
      await new Promise((resolve) => setTimeout(resolve, 1500));
    }
  }
}

function eye() {
  const on = at("eye").checked;
  const metres = Number(at("reach").value);
  at("reach-words").textContent = `${metres.toFixed(2)} m`;
  const numerals = app.model?.numerals;
  for (const stage of stages) {
    const px = at("true-size").checked || on ? app.pxPerMm : null;
    stage.view.setScale(px);
    // an eye's blur is an angle: on the screen it is as wide from whatever distance the lens is seen
    stage.view.setEye(on && numerals ? { shrink: Math.min(1, SCREEN / metres), blurPx: numerals.blur_mm_per_m * SCREEN * app.pxPerMm / 2, dim: 0.4 } : null);
  }
  at("eye-words").textContent = on && numerals
    ? `Numerals ${numerals.height_mm} mm high can be read to ${(numerals.readable_to_mm / 1000).toFixed(2)} m in dim light. Sit half a metre from the screen.` : "";
}

function colours() {
  const style = getComputedStyle(document.documentElement);
  const named = (name) => style.getPropertyValue(`--${name}`).trim();
  const set = Object.fromEntries([["paper", "paper"], ["ink", "ink"], ["metal", "metal"], ["metalLight", "metal-light"], ["film", "film"], ["mark", "mark"], ["doubtful", "doubtful"], ["index", "index"], ["shadow", "shadow"], ["accent", "odd"]].map(([key, name]) => [key, named(name)]));
  for (const stage of stages) stage.view.setColours(set);
}

function fitCard() {
  document.documentElement.style.setProperty("--mm", `${app.pxPerMm}px`);
  at("card").style.setProperty("width", `${app.pxPerMm * CARD_MM}px`);
  at("card").style.setProperty("height", `${app.pxPerMm * 53.98}px`);
  at("card-width").value = app.pxPerMm * CARD_MM;
}

function wire() {
  at("stages").append(stages[0].root, stages[1].root);
  stages[1].root.hidden = true;
  at("together-label").hidden = true;
  for (const input of document.querySelectorAll('input[name="view"]')) {
    input.addEventListener("change", () => stages.forEach((stage) => stage.view.setView(input.value, { animate: true })));
  }
  for (const input of document.querySelectorAll('input[name="index-at"]')) {
    input.addEventListener("change", () => stages.forEach((stage) => stage.view.setIndex(input.value)));
  }
  for (const input of document.querySelectorAll('input[name="process"]')) {
    input.checked = input.value === app.process;
    input.addEventListener("change", async () => {
      quiet("spot");
      app.process = input.value;
      kept.set("process", app.process);
      take(await ask("/state", { process: app.process }), true);
      app.lensAgain();
      changed();
    });
  }
  at("beside").addEventListener("change", chooseBeside);
  at("together").addEventListener("change", together);
  for (const id of ["true-size", "eye", "reach"]) at(id).addEventListener("input", eye);
  at("card-width").addEventListener("input", () => {
    app.pxPerMm = Number(at("card-width").value) / CARD_MM;
    kept.set("px-per-mm", app.pxPerMm);
    fitCard();
    eye();
  });
  at("undo").addEventListener("click", () => changes.send("/undo", {}));
  at("redo").addEventListener("click", () => changes.send("/redo", {}));
  document.addEventListener("keydown", (event) => {
    if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
    const key = event.key.toLowerCase();
    const path = key === "z" ? (event.shiftKey ? "/redo" : "/undo") : key === "y" ? "/redo" : null;
    if (!path) return;
    event.preventDefault();
    changes.send(path, {});
  });
  // a field that was left shows what the file says, should another window have changed it meanwhile
  document.addEventListener("focusout", () => setTimeout(() => {
    if (!app.state || !changes.idle) return;
    showReadings(false);
    showFields(false);
    showFaults();
  }));
  matchMedia("(prefers-color-scheme: dark)").addEventListener("change", colours);
}

async function start() {
  fitCard();
  wire();
  colours();
  const [fields, state] = await Promise.all([ask("/fields"), ask("/state", { process: app.process })]);
  lensFields = new Fields(at("lens-fields"), fields, change);
  styleFields = new Fields(at("style-fields"), fields, change);
  const before = state.lenses.findIndex((lens) => lens.name === kept.get("lens", ""));
  app.lens = Math.max(0, before);
  take(state, true);
  listen();
  await app.lensAgain().catch((refused) => notice("refused", refused.message));
  changed();
  document.documentElement.dataset.ready = "true";
}

start().catch((refused) => (refused.status ? notice("refused", refused.message) : gone()));
