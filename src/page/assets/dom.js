// Small words for the document.

/** An element with attributes and children; `on…` attributes are listeners, null and false ones are left out. */
export function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (name === "text") made.textContent = value;
    else made.setAttribute(name, value === true && !name.startsWith("aria-") ? "" : String(value));
  }
  made.append(...children.filter((child) => child !== null && child !== undefined));
  return made;
}

export const at = (id) => document.getElementById(id);

/** A drawing of the server's, ready to stand in the page: black becomes the colour of text. */
export function drawing(text, label) {
  const parsed = new DOMParser().parseFromString(text, "image/svg+xml").documentElement;
  const svg = document.importNode(parsed, true);
  for (const part of [svg, ...svg.querySelectorAll("*")]) {
    for (const paint of ["fill", "stroke"]) {
      const colour = part.getAttribute(paint);
      if (colour === "#000") part.setAttribute(paint, "currentColor");
      if (colour === "#fff") part.classList.add(`ground-${paint}`);
    }
  }
  svg.querySelector("title")?.remove();
  if (label) {
    svg.setAttribute("role", "img");
    svg.setAttribute("aria-label", label);
  } else {
    svg.setAttribute("aria-hidden", "true");
  }
  return svg;
}

/** Calls `work` once things have been quiet for a while. */
export function whenQuiet(milliseconds, work) {
  let timer = 0;
  return (...given) => {
    clearTimeout(timer);
    timer = setTimeout(() => work(...given), milliseconds);
  };
}

/** While one call is on its way only the last further one waits. What comes back is done when all is. */
export function newest(work) {
  let running = false;
  let waiting = null;
  let done = Promise.resolve();
  const run = async (given) => {
    try {
      await work(...given);
    } finally {
      if (waiting) {
        const next = waiting;
        waiting = null;
        await run(next);
      }
    }
  };
  return (...given) => {
    if (running) {
      waiting = given;
    } else {
      running = true;
      done = run(given).finally(() => { running = false; });
    }
    return done;
  };
}
