// A lens drawn from its geometry: sections of revolution along the axis, and the artwork on its rings in true foreshortening.
//
// Axes in mm: x to the right as seen from behind the camera, y up, z to the front. A turn is counted clockwise as seen from
// behind, from the top: a point of a ring is (R sin turn, R cos turn, z). Projection only; what stands where on a ring, and
// how far it is turned, is told from outside.

const RADIANS = Math.PI / 180;

/** Where the viewer looks: yaw from straight ahead toward the right, pitch downward, degrees. */
const VIEWS = { side: [90, 0], otherSide: [-90, 0], top: [0, 90], behind: [0, 50] };
const INDEX_AT = { left: -90, top: 0, right: 90 };

/** Lengths of the parts that nobody measured, mm: quiet stand-ins for a mount, a barrel, a rim. */
const PARTS = { body: 22, mount: 5, barrel: 7, rim: 6 };
const BODY_HALF = [40, 31];
/** How much smaller a barrel is than the ring beside it, in radius. */
const STEP = 1.2;
/** Points of a circle. */
const CIRCLE = 72;
const ANIMATION_MS = 350;
const MARGIN = 14;
/** A set at night. */
const DARK = "#101114";
/** Spots nearer than this are drawn as one, px. */
const SPOT_APART = 16;

export class LensView {
  constructor(canvas, { onlayout } = {}) {
    this.canvas = canvas;
    this.context = canvas.getContext("2d");
    this.onlayout = onlayout ?? (() => {});
    this.at = {};
    this.view = VIEWS.side.slice();
    this.index = INDEX_AT.left;
    this.colours = {};
    this.scale = null;
    this.eye = null;
    this.lens = null;
    new ResizeObserver(() => this.redraw()).observe(canvas);
  }

  show(lens) {
    this.lens = lens;
    this.sections = laidOut(lens.rings);
    for (const section of this.sections) {
      if (!section.ring) continue;
      section.shapes = section.ring.shapes.map((shape) => prepared(shape, (height) => onFace(section, height)));
      this.at[section.ring.kind] ??= section.ring.zero_deg;
    }
    for (const section of this.sections.filter((section) => section.plateOf)) {
      const { ring, front } = section.plateOf;
      const away = front ? 1 : -1;
      const edge = front ? section.z[0] : section.z[1];
      section.plate = ring.plate.map((shape) => prepared(shape, (height) => [edge + away * height, section.r[0] + 0.02]));
    }
    this.redraw();
  }

  turn(kind, deg) {
    this.at[kind] = deg;
    this.redraw();
  }

  position(kind) {
    return this.at[kind];
  }

  setIndex(name) {
    this.index = INDEX_AT[name] ?? INDEX_AT.left;
    this.redraw();
  }

  setColours(colours) {
    this.colours = colours;
    this.redraw();
  }

  setScale(pxPerMm) {
    this.scale = pxPerMm;
    this.redraw();
  }

  setEye(eye) {
    this.eye = eye;
    this.redraw();
  }

  setView(name, { animate } = {}) {
    const to = VIEWS[name] ?? VIEWS.side;
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    if (!animate || still) {
      this.view = to.slice();
      this.redraw();
      return;
    }
    const from = this.view.slice();
    const start = performance.now();
    const step = (now) => {
      const share = Math.min(1, (now - start) / ANIMATION_MS);
      const eased = share * share * (3 - 2 * share);
      this.view = from.map((value, i) => value + (to[i] - value) * eased);
      this.redraw();
      if (share < 1) requestAnimationFrame(step);
    };
    requestAnimationFrame(step);
  }

  /** Degrees of reading to a pixel moved to the right and down, at the middle of what is seen of a ring. */
  degreesPerPixel(kind) {
    const section = this.section(kind);
    if (!section || !this.placed) return { x: 0, y: 0 };
    const { axes, scale } = this.placed;
    const middle = facing(axes) + Math.PI;
    const radius = (section.r[0] + section.r[1]) / 2;
    const tangent = [Math.cos(middle) * radius, -Math.sin(middle) * radius, 0];
    const [x, y] = [dot(tangent, axes.right) * scale, -dot(tangent, axes.up) * scale];
    const length = x * x + y * y;
    if (length < 1e-6) return { x: 0, y: 0 };
    const sense = section.ring.sense / RADIANS;
    return { x: (sense * x) / length, y: (sense * y) / length };
  }

  boxes() {
    return this.placed?.boxes ?? [];
  }

  spotPlaces() {
    return this.placed?.spots ?? [];
  }

  /** The reading that brings a spot to the middle of the view, and by how much the ring's throw falls short of that. */
  turnToShow(number) {
    const spot = this.lens?.spots?.[number];
    const section = spot && this.section(spot.ring);
    if (!section || !this.placed) return null;
    const { ring } = section;
    const middle = facing(this.placed.axes) / RADIANS + 180;
    const turned = middle - this.index - spot.turn;
    const [least, most] = [Math.min(ring.from_deg, ring.to_deg), Math.max(ring.from_deg, ring.to_deg)];
    const turns = [-720, -360, 0, 360, 720].map((whole) => ring.zero_deg + ring.sense * (turned + whole));
    const beyond = (deg) => Math.max(least - deg, deg - most, 0);
    turns.sort((a, b) => beyond(a) - beyond(b));
    return { kind: ring.kind, deg: Math.min(most, Math.max(least, turns[0])), short: beyond(turns[0]) };
  }

  section(kind) {
    return this.sections?.find((section) => section.ring?.kind === kind) ?? null;
  }

  redraw() {
    if (this.asked) return;
    this.asked = true;
    requestAnimationFrame(() => {
      this.asked = false;
      this.draw();
    });
  }

  /** How far a ring is turned from where its first mark stands under the index, degrees clockwise. */
  rotation(ring) {
    const own = ring.sense * (this.at[ring.kind] - ring.zero_deg);
    const focus = this.section("focus")?.ring;
    if (!ring.rides || !focus) return own;
    return own + focus.sense * (this.at.focus - (ring.riding_index_deg ?? focus.zero_deg));
  }

  draw() {
    const { canvas, context } = this;
    const ratio = devicePixelRatio || 1;
    const [width, height] = [canvas.clientWidth, canvas.clientHeight];
    if (!this.lens || this.sections.length === 0 || width === 0) return;
    if (canvas.width !== Math.round(width * ratio) || canvas.height !== Math.round(height * ratio)) {
      canvas.width = Math.round(width * ratio);
      canvas.height = Math.round(height * ratio);
    }
    const axes = axesOf(this.view);
    const outlines = this.sections.map((section) => section.z.map((z, end) => circle(axes, section.r[end], z)));
    const hulls = outlines.map(([rear, front]) => hull([...rear, ...front]));
    const rings = hulls.filter((_, i) => this.sections[i].ring);
    const seen = bounds(rings.flat());
    const all = bounds(hulls.filter((_, i) => this.sections[i].name !== "body").flat());
    const fit = Math.min((width - 2 * MARGIN) / (all.right - all.left + 22), (height - 2 * MARGIN) / (all.bottom - all.top));
    const shrink = this.eye?.shrink ?? 1;
    const scale = (this.scale ?? fit) * shrink;
    const middle = this.scale ? [(seen.left + seen.right) / 2, (seen.top + seen.bottom) / 2] : [(all.left + all.right) / 2, (all.top + all.bottom) / 2];
    const to = ([x, y]) => [width / 2 + (x - middle[0]) * scale, height / 2 + (y - middle[1]) * scale];
    this.placed = { axes, scale, boxes: [], spots: [] };

    context.setTransform(ratio, 0, 0, ratio, 0, 0);
    context.clearRect(0, 0, width, height);
    if (this.eye) {
      context.fillStyle = DARK;
      context.fillRect(0, 0, width, height);
    }
    context.filter = this.eye?.blurPx > 0.05 ? `blur(${this.eye.blurPx.toFixed(2)}px)` : "none";
    const near = this.sections.map((_, i) => i);
    // from far to near along the axis
    near.sort((a, b) => (this.sections[a].z[0] - this.sections[b].z[0]) * (axes.forward[2] >= 0 ? -1 : 1));
    this.drawBody(axes, to, axes.forward[2] < -1e-9);
    for (const i of near) this.drawSection(this.sections[i], hulls[i].map(to), outlines[i].map((end) => end.map(to)), { axes, to, scale });
    this.drawBody(axes, to, axes.forward[2] >= -1e-9);
    context.filter = "none";
    if (this.eye) {
      context.globalAlpha = this.eye.dim;
      context.fillStyle = DARK;
      context.fillRect(0, 0, width, height);
      context.globalAlpha = 1;
    }
    this.drawSpots({ axes, to });
    this.onlayout(this.placed.boxes);
  }

  drawBody(axes, to, now) {
    if (!now) return;
    const [x, y] = BODY_HALF;
    const corners = [];
    for (const z of [-PARTS.body, 0]) for (const side of [-x, x]) for (const up of [-y, y]) corners.push(project(axes, [side, up, z]));
    fill(this.context, hull(corners).map(to), this.colours.metal);
    outline(this.context, hull(corners).map(to), this.colours.ink, 0.8);
    const rear = [[-x, -y], [x, -y], [x, y], [-x, y]].map(([side, up]) => to(project(axes, [side, up, -PARTS.body])));
    if (axes.forward[2] > 0.02) outline(this.context, rear, this.colours.metalLight, 0.8);
  }

  drawSection(section, edge, ends, { axes, to, scale }) {
    const { context, colours } = this;
    const light = section.ring && section.ring.ground === "light";
    const base = light ? colours.film : colours.metal;
    fill(context, edge, this.shade(section, axes, to, base, light));
    outline(context, edge, colours.ink, 0.7);
    const turned = section.ring ? this.rotation(section.ring) : 0;
    if (section.ring) {
      const box = bounds(edge);
      this.placed.boxes.push({ kind: section.ring.kind, left: box.left, top: box.top, width: box.right - box.left, height: box.bottom - box.top });
      const ink = light ? colours.mark : "#f4f1e8";
      this.drawShapes(section.shapes, (this.index + turned) * RADIANS, section, { axes, to, scale }, (shape) => (shape.doubtful ? (light ? colours.doubtful : "#ffb066") : shape.layer === "index" ? colours.index : ink));
    }
    if (section.plate) {
      const { ring } = section.plateOf;
      for (let copy = 0; copy < ring.index_copies; copy += 1) {
        this.drawShapes(section.plate, (this.index + 180 * copy) * RADIANS, { ...section, slope: 0 }, { axes, to, scale }, (shape) => (shape.layer === "index" ? "#ff7a45" : "#f4f1e8"));
      }
    }
    // the end that faces the viewer
    const end = axes.forward[2] > 0.02 ? 0 : axes.forward[2] < -0.02 ? 1 : null;
    if (end !== null) {
      fill(context, ends[end], mixed(base, light ? colours.mark : colours.metalLight, light ? 0.12 : 0.35));
      outline(context, ends[end], colours.ink, 0.7);
    }
  }

  /** A soft light along the top of a cylinder. */
  shade(section, axes, to, base, light) {
    const across = [axes.up[2], -axes.right[2]];
    const length = Math.hypot(...across);
    if (length < 0.05) return base;
    const radius = Math.max(...section.r);
    const [x, y] = project(axes, [0, 0, (section.z[0] + section.z[1]) / 2]);
    const unit = [(across[0] / length) * radius, (across[1] / length) * radius];
    const first = to([x - unit[0], y - unit[1]]);
    const last = to([x + unit[0], y + unit[1]]);
    const upward = first[1] <= last[1] ? [first, last] : [last, first];
    const gradient = this.context.createLinearGradient(...upward[0], ...upward[1]);
    const dark = light ? mixed(base, "#3a352a", 0.45) : mixed(base, "#000000", 0.45);
    const bright = light ? mixed(base, "#ffffff", 0.35) : mixed(base, this.colours.metalLight ?? base, 0.75);
    gradient.addColorStop(0, dark);
    gradient.addColorStop(0.3, bright);
    gradient.addColorStop(0.62, base);
    gradient.addColorStop(1, dark);
    return gradient;
  }

  /** Artwork on a surface of revolution: what lies beyond the limb is folded onto it, where it has no width. */
  drawShapes(shapes, turned, section, { axes, to, scale }, colourOf) {
    const { context } = this;
    const middle = facing(axes) + Math.PI;
    const level = Math.hypot(axes.forward[0], axes.forward[1]);
    const lean = (Math.tan(section.slope) * axes.forward[2]) / Math.max(level, 1e-9);
    if (lean >= 1) return;
    const limb = Math.acos(Math.max(-1, lean));
    const paths = new Map();
    for (const shape of shapes) {
      const centre = around(shape.centre + turned - middle);
      if (Math.abs(centre) - shape.reach > limb) continue;
      const stroke = shape.line ? Math.max(0.4, shape.line * scale) : 0;
      const key = `${colourOf(shape)} ${stroke.toFixed(3)}`;
      if (!paths.has(key)) paths.set(key, { path: new Path2D(), colour: colourOf(shape), stroke });
      const { path } = paths.get(key);
      for (const line of shape.lines) {
        let open = true;
        for (const [turn, z, radius] of line) {
          const away = Math.min(limb, Math.max(-limb, turn + centre));
          const angle = away + middle;
          const [x, y] = to(project(axes, [radius * Math.sin(angle), radius * Math.cos(angle), z]));
          if (open) path.moveTo(x, y);
          else path.lineTo(x, y);
          open = false;
        }
        if (!stroke) path.closePath();
      }
    }
    context.lineCap = "round";
    context.lineJoin = "round";
    for (const { path, colour, stroke } of paths.values()) {
      if (stroke) {
        context.strokeStyle = colour;
        context.lineWidth = stroke;
        context.stroke(path);
      } else {
        context.fillStyle = colour;
        context.fill(path, "nonzero");
      }
    }
  }

  drawSpots({ axes, to }) {
    const { context } = this;
    (this.lens.spots ?? []).forEach((spot, index) => {
      const section = this.section(spot.ring);
      if (!section) return;
      const [z, radius] = onFace(section, spot.height);
      const angle = (spot.turn + this.index + this.rotation(section.ring)) * RADIANS;
      const visible = Math.cos(angle - facing(axes) - Math.PI) > 0;
      const [x, y] = to(project(axes, [radius * Math.sin(angle), radius * Math.cos(angle), z]));
      const crowded = this.placed.spots.some((spot) => spot.drawn && Math.hypot(spot.x - x, spot.y - y) < SPOT_APART);
      const drawn = visible && !crowded;
      this.placed.spots.push({ index, x, y, visible, drawn });
      if (!drawn) return;
      context.beginPath();
      context.arc(x, y, 9, 0, 2 * Math.PI);
      context.lineWidth = 2;
      context.strokeStyle = section.ring.ground === "light" ? "#9c2f0a" : "#93c7ec";
      context.stroke();
    });
  }
}

/** The parts of a lens from the camera to the front, each with z and radius at its rear and its front. */
function laidOut(rings) {
  if (rings.length === 0) return [];
  const focus = rings.find((ring) => ring.kind === "focus");
  const iris = rings.find((ring) => ring.kind === "iris");
  const order = [focus, iris].filter(Boolean);
  const deep = (ring, edge) => (ring && ring.index === edge && ring.plate.length > 0 ? Math.max(...ring.plate.flatMap((shape) => shape.lines.flatMap((line) => line.filter((_, i) => i % 2 === 1)))) + 1.5 : 0);
  const sections = [];
  let z = 0;
  const add = (name, length, rear, front, more = {}) => {
    sections.push({ name, z: [z, z + length], r: [rear, front], slope: 0, ...more });
    z += length;
  };
  const first = order[0];
  add("mount", PARTS.mount, Math.min(27, first.rear_diameter / 2 - STEP), Math.min(27, first.rear_diameter / 2 - STEP));
  order.forEach((ring, i) => {
    const before = order[i - 1];
    const radius = Math.min(ring.rear_diameter, before ? before.front_diameter : ring.rear_diameter) / 2 - STEP;
    const behind = deep(ring, "rear");
    const ahead = before ? deep(before, "front") : 0;
    if (ahead > 0) add("barrel", Math.max(PARTS.barrel / 2, ahead), radius, radius, { plateOf: { ring: before, front: true } });
    if (behind > 0 || ahead === 0) add("barrel", Math.max(before ? PARTS.barrel / 2 : PARTS.barrel, behind), radius, radius, behind > 0 ? { plateOf: { ring, front: false } } : {});
    const [rear, front] = [ring.rear_diameter / 2, ring.front_diameter / 2];
    const slope = Math.asin(Math.max(-1, Math.min(1, (rear - front) / ring.width)));
    add("ring", ring.width * Math.cos(slope), rear, front, { ring, slope });
  });
  const last = order.at(-1);
  const radius = last.front_diameter / 2 - STEP;
  const ahead = deep(last, "front");
  add("barrel", Math.max(PARTS.barrel / 2, ahead), radius, radius, ahead > 0 ? { plateOf: { ring: last, front: true } } : {});
  add("rim", PARTS.rim, radius - STEP, radius - STEP);
  return sections;
}

/** Axial place and radius at a height below a ring's front edge, along the slope. */
function onFace(section, height) {
  const share = height / section.ring.width;
  return [section.z[1] - height * Math.cos(section.slope), section.r[1] + (section.r[0] - section.r[1]) * share];
}

/** A shape as [turn from its centre, z, radius], its centre and how far it reaches from it, radians. */
function prepared(shape, place) {
  let [least, most] = [Infinity, -Infinity];
  for (const line of shape.lines) {
    for (let i = 0; i < line.length; i += 2) {
      least = Math.min(least, line[i]);
      most = Math.max(most, line[i]);
    }
  }
  const centre = ((least + most) / 2) * RADIANS;
  const lines = shape.lines.map((line) => {
    const points = [];
    for (let i = 0; i < line.length; i += 2) points.push([line[i] * RADIANS - centre, ...place(line[i + 1])]);
    return points;
  });
  return { layer: shape.layer, line: shape.line, doubtful: shape.doubtful, centre, reach: ((most - least) / 2) * RADIANS, lines };
}

function axesOf([yaw, pitch]) {
  const [sinYaw, cosYaw] = [Math.sin(yaw * RADIANS), Math.cos(yaw * RADIANS)];
  const [sin, cos] = [Math.sin(pitch * RADIANS), Math.cos(pitch * RADIANS)];
  return { right: [cosYaw, 0, -sinYaw], up: [sinYaw * sin, cos, cosYaw * sin], forward: [sinYaw * cos, -sin, cosYaw * cos] };
}

function dot(a, b) {
  return a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
}

/** On the picture, mm: to the right, down. */
function project(axes, point) {
  return [dot(point, axes.right), -dot(point, axes.up)];
}

/** The turn at which a surface looks the way the viewer looks: the far side. */
function facing(axes) {
  return Math.atan2(axes.forward[0], axes.forward[1]);
}

function around(angle) {
  return angle - 2 * Math.PI * Math.round(angle / (2 * Math.PI));
}

function circle(axes, radius, z) {
  return Array.from({ length: CIRCLE }, (_, i) => {
    const turn = (i / CIRCLE) * 2 * Math.PI;
    return project(axes, [radius * Math.sin(turn), radius * Math.cos(turn), z]);
  });
}

/** The convex hull of some points (A. M. Andrew's monotone chain, 1979). */
function hull(points) {
  const sorted = points.slice().sort((a, b) => a[0] - b[0] || a[1] - b[1]);
  const turns = (o, a, b) => (a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0]);
  const half = (from) => {
    const chain = [];
    for (const point of from) {
      while (chain.length > 1 && turns(chain.at(-2), chain.at(-1), point) <= 0) chain.pop();
      chain.push(point);
    }
    chain.pop();
    return chain;
  };
  return [...half(sorted), ...half(sorted.reverse())];
}

function bounds(points) {
  const box = { left: Infinity, top: Infinity, right: -Infinity, bottom: -Infinity };
  for (const [x, y] of points) {
    box.left = Math.min(box.left, x);
    box.right = Math.max(box.right, x);
    box.top = Math.min(box.top, y);
    box.bottom = Math.max(box.bottom, y);
  }
  return box;
}

function path(context, points) {
  context.beginPath();
  points.forEach(([x, y], i) => (i === 0 ? context.moveTo(x, y) : context.lineTo(x, y)));
  context.closePath();
}

function fill(context, points, colour) {
  path(context, points);
  context.fillStyle = colour;
  context.fill();
}

function outline(context, points, colour, width) {
  path(context, points);
  context.strokeStyle = colour;
  context.lineWidth = width;
  context.stroke();
}

/** A colour between two of the form #rrggbb. */
function mixed(a, b, share) {
  const parts = (colour) => [1, 3, 5].map((i) => parseInt(colour.slice(i, i + 2), 16));
  if (!/^#[0-9a-f]{6}$/i.test(a) || !/^#[0-9a-f]{6}$/i.test(b)) return a;
  const [from, to] = [parts(a), parts(b)];
  return `#${from.map((value, i) => Math.round(value + (to[i] - value) * share).toString(16).padStart(2, "0")).join("")}`;
}
