// Begins the page: every part of the state goes to whoever shows it.

import { find, grams, mark, say } from "./dom.js";
import { makeBench } from "./bench.js";
import { makeGlasses } from "./glasses.js";
import { openLink } from "./link.js";
import { makeMinute } from "./minute.js";
import { makePanel } from "./panel.js";
import { makeRecord } from "./record.js";
import { makeRound } from "./round.js";
import { makeSheet } from "./sheet.js";
import { makeShelf } from "./shelf.js";
import { makeSounder } from "./sounder.js";
import { makeStrip } from "./strip.js";
import { makeTheme } from "./theme.js";

const LIGHTS = {
  off: "light off: nothing to do",
  go: "green: go on",
  ease: "amber: slower, or look here",
  stop: "red: stop",
};

let wish = () => {};
const send = (what) => wish(what);

const panel = makePanel();
const sounder = makeSounder();
const strip = makeStrip();
const shelf = makeShelf(send);
const bench = makeBench(send);
const glasses = makeGlasses(send);
const round = makeRound(send);
const record = makeRecord();
const minute = makeMinute(send, shelf);
makeSheet();
makeTheme(() => {
  panel.recolour();
  strip.recolour();
});

let run = null;
let watched = false;
find("watch").addEventListener("click", () => send({ do: "watch", on: !watched }));

function now(state) {
  watched = state.watched;
  mark(find("watch"), "aria-pressed", watched);
  say(find("watch"), watched ? "Take over" : "Watch it");
  mark(find("lamp"), "data-light", state.light);
  say(find("lamp-words"), state.on ? LIGHTS[state.light] : "switched off");
  say(find("reads"), `scale ${grams(state.net_g)}`);
  say(find("truth"), `truly ${grams(state.true_g)}`);
  // What to do is said when it changes; how much of it would be said thirty times a second.
  const cue = state.cue === "ease" || state.cue === "stop" ? `${state.cue}: ` : "";
  say(find("says"), `${cue}${state.words[0]}`);
  mark(find("panel"), "aria-label", `The panel: ${cue}${state.words.join(", ")}`);
  sounder.hear(state);
  strip.add(state);
  shelf.follow(state);
  bench.follow(state);
  round.follow(state);
  minute.follow(state);
}

const parts = {
  now,
  panel: (hex) => panel.show(hex),
  desk(told) {
    sounder.learn(told.sounds);
    if (run !== null && run !== told.run) strip.clear();
    run = told.run;
  },
  house(house) {
    say(find("house"), house.name);
    const { drinks, bottles } = house;
    say(find("sheet-house"), `Worked from: ${house.name || "a house without a name"}, `
      + `${drinks.length} drinks, ${bottles.length} bottles.`);
    shelf.fill(house);
    round.fill(house);
    minute.fill(house);
    strip.clear();
  },
  glasses(list) {
    glasses.show(list);
    bench.holds(list);
  },
  events(list) {
    strip.events(list);
    minute.hears(list);
  },
  record: (rows) => record.show(rows),
};

const gone = find("gone");
wish = openLink({
  part: (name, value) => parts[name]?.(value),
  lost() {
    shelf.letGo();
    say(gone, "The desk does not answer. Trying again; start it anew if it was ended.");
    gone.hidden = false;
  },
  found() {
    gone.hidden = true;
  },
  refused: (why) => say(find("says"), why),
});
