// Mass and flow over time, with the events that happened: it scrolls, pauses and zooms.

import { find, mark, make, say } from "./dom.js";
import { drawStrip } from "./strip-draw.js";

// Ten minutes at thirty a second; what is older is written over.
const ROOM = 18_000;
const SPANS_S = [5, 10, 20, 40, 80, 160, 320, 600];
const EVENTS_KEPT = 400;
const EVENTS_LISTED = 8;
// A step back in time by a key, as a share of what is shown.
const KEY_SHARE = 0.2;

export function makeStrip() {
  const canvas = find("strip");
  const pause = find("strip-pause");
  const series = {
    room: ROOM,
    count: 0,
    next: 0,
    t: new Float64Array(ROOM),
    net: new Float32Array(ROOM),
    truth: new Float32Array(ROOM),
    flow: new Float32Array(ROOM),
  };
  // A place for each from the beginning, as above: ten minutes in, a page holds what it began with.
  const marks = {
    room: EVENTS_KEPT,
    count: 0,
    next: 0,
    t: new Float64Array(EVENTS_KEPT),
    word: new Array(EVENTS_KEPT).fill(""),
  };
  let events = [];
  let span = 2;
  // The time at the right edge while paused; null while it follows.
  let end = null;
  let latest = 0;
  let colours = null;
  let wanted = false;
  let seen = 0;
  let listed = 0;

  function draw() {
    wanted = false;
    if (!colours || canvas.clientWidth === 0) return;
    const right = end ?? latest;
    drawStrip(canvas, colours, series, marks, right - SPANS_S[span], right);
  }

  function want() {
    if (wanted || document.hidden) return;
    wanted = true;
    requestAnimationFrame(draw);
  }

  function hold(at) {
    end = at === null ? null : Math.min(at, latest);
    mark(pause, "aria-pressed", end !== null);
    say(pause, end === null ? "Pause" : "Go on");
    want();
  }

  function zoom(by) {
    span = Math.min(SPANS_S.length - 1, Math.max(0, span + by));
    mark(canvas, "aria-label", `Mass and flow over the last ${SPANS_S[span]} seconds`);
    want();
  }

  pause.addEventListener("click", () => hold(end === null ? latest : null));
  find("strip-in").addEventListener("click", () => zoom(-1));
  find("strip-out").addEventListener("click", () => zoom(1));
  canvas.addEventListener("keydown", (event) => {
    const step = SPANS_S[span] * KEY_SHARE;
    const acts = {
      ArrowLeft: () => hold((end ?? latest) - step),
      ArrowRight: () => hold(end !== null && end + step < latest ? end + step : null),
      "+": () => zoom(-1),
      "-": () => zoom(1),
      End: () => hold(null),
      " ": () => hold(end === null ? latest : null),
    };
    const act = acts[event.key];
    if (!act) return;
    event.preventDefault();
    act();
  });

  let drag = null;
  canvas.addEventListener("pointerdown", (event) => {
    canvas.setPointerCapture(event.pointerId);
    drag = { x: event.clientX, end: end ?? latest };
  });
  canvas.addEventListener("pointermove", (event) => {
    if (!drag) return;
    const moved = event.clientX - drag.x;
    if (Math.abs(moved) < 4) return;
    hold(drag.end - (moved / canvas.clientWidth) * SPANS_S[span]);
  });
  for (const over of ["pointerup", "pointercancel"]) {
    canvas.addEventListener(over, () => { drag = null; });
  }
  new ResizeObserver(want).observe(canvas);
  zoom(0);

  function list() {
    const items = [...events].reverse().map(({ t_s: at, word, rest }) =>
      make("li", {}, make("time", {}, `${at.toFixed(1)} s`), make("b", {}, word), rest));
    find("events").replaceChildren(...items);
  }

  function forget() {
    marks.count = 0;
    marks.next = 0;
    events = [];
    seen = 0;
  }

  return {
    add(state) {
      latest = state.t_s;
      const at = series.next;
      series.t[at] = state.t_s;
      // A vessel on its way would dwarf everything poured into it: a gap.
      series.net[at] = state.moving ? Number.NaN : state.net_g;
      series.truth[at] = state.moving ? Number.NaN : state.true_g;
      series.flow[at] = state.moving ? 0 : Math.max(0, state.flow_g_s);
      series.next = (at + 1) % ROOM;
      series.count = Math.min(series.count + 1, ROOM);
      if (end === null) want();
    },
    events(told) {
      // Numbers begin anew with another sheet or another start of the server.
      const last = told.at(-1)?.number ?? 0;
      if (last < seen) forget();
      const fresh = told.filter((event) => event.number > seen);
      seen = last;
      for (const { t_s: at, word, rest } of fresh) {
        marks.t[marks.next] = at;
        marks.word[marks.next] = word === "verdict" ? rest.split(",")[0] : word;
        marks.next = (marks.next + 1) % EVENTS_KEPT;
        marks.count = Math.min(marks.count + 1, EVENTS_KEPT);
      }
      events = [...events, ...fresh].slice(-EVENTS_LISTED);
      if (fresh.length > 0 || listed === 0) list();
      listed += 1;
      want();
    },
    clear() {
      series.count = 0;
      series.next = 0;
      forget();
      hold(null);
      list();
    },
    recolour() {
      const style = getComputedStyle(document.documentElement);
      const names = ["ink", "quiet", "hair", "edge", "accent", "card", "well", "go", "ease", "stop"];
      colours = Object.fromEntries(names.map((name) => [name, style.getPropertyValue(`--${name}`).trim()]));
      want();
    },
  };
}
