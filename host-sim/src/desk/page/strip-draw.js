// Draws the strip. Mass has the upper part and its own scale, flow the lower; lines differ by
// shape as well as by colour, events by their words.

const LEFT = 52;
const RIGHT = 12;
const TOP = 34;
const BOTTOM = 22;
const FLOW_SHARE = 0.28;
// The least that the scales span: noise shall look like noise.
const LEAST_MASS_G = 10;
const LEAST_FLOW_G_S = 10;
// Words closer than this would lie on each other; the earlier one goes a line up or is left out.
const WORD_PX = 58;
const LOUD = {
  ease: "ease", stop: "stop", good: "go", short: "go", over: "go", fault: "stop", fix: "stop",
};

export function drawStrip(canvas, colours, series, marks, from, to) {
  const scale = window.devicePixelRatio || 1;
  const wide = canvas.clientWidth;
  const high = canvas.clientHeight;
  if (canvas.width !== Math.round(wide * scale) || canvas.height !== Math.round(high * scale)) {
    canvas.width = Math.round(wide * scale);
    canvas.height = Math.round(high * scale);
  }
  const pen = canvas.getContext("2d");
  pen.setTransform(scale, 0, 0, scale, 0, 0);
  pen.clearRect(0, 0, wide, high);
  pen.font = "12px ui-sans-serif, system-ui, sans-serif";

  const shown = within(series, from, to);
  const inner = high - TOP - BOTTOM;
  const flowTop = TOP + inner * (1 - FLOW_SHARE) + 12;
  const x = (t) => LEFT + ((t - from) / (to - from)) * (wide - LEFT - RIGHT);
  const mass = ruler(shown, [series.net, series.truth], LEAST_MASS_G, TOP, flowTop - 12);
  const flow = ruler([], [], usualMost(shown, series.flow), flowTop, high - BOTTOM);
  const most = flow.ticks.at(-1);

  grid(pen, colours, mass, "g", wide);
  grid(pen, colours, { ...flow, ticks: [0, most] }, "g/s", wide);
  times(pen, colours, x, from, to, high);

  // Flow as a surface.
  pen.fillStyle = colours.hair;
  pen.beginPath();
  pen.moveTo(x(series.t[shown[0]] ?? from), flow.y(0));
  for (const at of shown) {
    pen.lineTo(x(series.t[at]), flow.y(Math.min(most, series.flow[at])));
  }
  pen.lineTo(x(series.t[shown.at(-1)] ?? to), flow.y(0));
  pen.fill();
  pen.strokeStyle = colours.edge;
  pen.lineWidth = 1.25;
  pen.stroke();

  const words = placed(marks, within(marks, from, to), x, wide);
  for (const { at, word } of words) {
    pen.strokeStyle = colours[LOUD[word]] ?? colours.quiet;
    pen.lineWidth = LOUD[word] ? 1.5 : 0.75;
    pen.beginPath();
    pen.moveTo(at, TOP - 2);
    pen.lineTo(at, high - BOTTOM);
    pen.stroke();
  }

  line(pen, shown, series.t, series.net, x, mass.y, colours.ink, 2.25, []);
  line(pen, shown, series.t, series.truth, x, mass.y, colours.accent, 2.25, [6, 5]);

  for (const { at, row, word } of words) {
    if (row === null) continue;
    pen.fillStyle = colours[LOUD[word]] ?? colours.quiet;
    pen.fillText(word, at + 3, 12 + row * 14);
  }
}

// The numbers of the samples or marks between two times, thinned out to what a screen can show.
function within(series, from, to) {
  const { count, next, room, t } = series;
  const all = [];
  for (let step = 0; step < count; step += 1) {
    const at = (next - count + step + room) % room;
    if (t[at] >= from && t[at] <= to) all.push(at);
  }
  const every = Math.ceil(all.length / 2400);
  return every > 1 ? all.filter((_, number) => number % every === 0) : all;
}

// The most that flows but for moments: what a lifted glass does to the pan is no pour.
function usualMost(shown, flow) {
  const flows = shown.map((at) => flow[at]).sort((a, b) => a - b);
  return Math.max(LEAST_FLOW_G_S, flows[Math.floor(flows.length * 0.97)] ?? 0);
}

function ruler(shown, values, least, top, bottom) {
  let low = 0;
  let high = least;
  for (const at of shown) {
    for (const of of values) {
      if (Number.isNaN(of[at])) continue;
      low = Math.min(low, of[at]);
      high = Math.max(high, of[at]);
    }
  }
  // A cell that wanders by some hundredths does not move the ruler.
  if (low > -1) low = 0;
  const step = rounded((high - low) / 3);
  const first = Math.floor(low / step) * step;
  const last = Math.ceil(high / step) * step;
  const y = (value) => bottom - ((value - first) / (last - first)) * (bottom - top);
  const ticks = [];
  for (let tick = first; tick <= last + step / 2; tick += step) ticks.push(tick);
  return { y, ticks };
}

// The next of 1, 2, 5 times a power of ten.
function rounded(least) {
  const power = 10 ** Math.floor(Math.log10(least));
  return [1, 2, 5, 10].map((digit) => digit * power).find((step) => step >= least);
}

function grid(pen, colours, { y, ticks }, unit, wide) {
  pen.strokeStyle = colours.hair;
  pen.lineWidth = 1;
  pen.fillStyle = colours.quiet;
  pen.textAlign = "right";
  for (const tick of ticks) {
    const at = Math.round(y(tick)) + 0.5;
    pen.beginPath();
    pen.moveTo(LEFT, at);
    pen.lineTo(wide - RIGHT, at);
    pen.stroke();
    const last = tick === ticks.at(-1);
    pen.fillText(last ? `${tick} ${unit}` : String(tick), LEFT - 6, at + 4);
  }
  pen.textAlign = "left";
}

function times(pen, colours, x, from, to, high) {
  const step = rounded((to - from) / 8);
  pen.fillStyle = colours.quiet;
  pen.textAlign = "center";
  for (let t = Math.ceil(from / step) * step; t <= to; t += step) {
    if (t >= 0 && x(t) < x(to) - 24) pen.fillText(`${Math.round(t * 10) / 10} s`, x(t), high - 6);
  }
  pen.textAlign = "left";
}

function line(pen, shown, t, values, x, y, colour, width, dash) {
  pen.strokeStyle = colour;
  pen.lineWidth = width;
  pen.lineJoin = "round";
  pen.setLineDash(dash);
  pen.beginPath();
  let gap = true;
  for (const at of shown) {
    if (Number.isNaN(values[at])) gap = true;
    else if (gap) {
      pen.moveTo(x(t[at]), y(values[at]));
      gap = false;
    } else pen.lineTo(x(t[at]), y(values[at]));
  }
  pen.stroke();
  pen.setLineDash([]);
}

// Where the words of the events go: two lines above the strip, loud ones first.
function placed(marks, shown, x, wide) {
  const rows = [[], []];
  const free = (row, at) => rows[row].every((other) => Math.abs(other - at) >= WORD_PX);
  const words = shown.map((of) => ({ word: marks.word[of], at: x(marks.t[of]), row: null }));
  const loudFirst = [...words].sort((a, b) =>
    Number(Boolean(LOUD[b.word])) - Number(Boolean(LOUD[a.word])));
  for (const entry of loudFirst) {
    if (entry.at > wide - RIGHT - 20) continue;
    const row = [1, 0].find((number) => free(number, entry.at));
    if (row === undefined) continue;
    entry.row = row;
    rows[row].push(entry.at);
  }
  return words;
}
