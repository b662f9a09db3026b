// The first minute: pour once, hear ease and stop, pour too much on purpose, see what can be done.
//
// It follows what the scale tells and never holds anything up: whoever does something else simply
// does something else.

import { button, find, make } from "./dom.js";

export function makeMinute(send, shelf) {
  const box = find("minute");
  const says = find("minute-says");
  const does = find("minute-does");
  let drink = null;
  let number = null;
  let stage = "offer";
  let seen = null;
  let cue = null;
  let verdict = "";
  let fix = "";

  const liquid = () => drink?.build[0].replace(/^[\d.\/ ]+(ml|cl|oz|g) /, "") ?? "the bottle";

  const begin = (next) => () => {
    send({ do: "afresh", drink: number });
    shelf.pick(liquid());
    verdict = "";
    fix = "";
    go(next);
  };
  const setDown = button("Set it down", () => send({ do: "take", vessel: drink.vessel }));
  const toPad = button("Take the bottle", () => {
    shelf.pick(liquid());
    find("pad").focus();
  });
  const close = button("Enough", () => go("over"));
  const start = button("Begin", begin("vessel"), { class: "chief", id: "begin" });
  const again = button("Now too much, on purpose", begin("vessel-2"), { class: "chief", id: "too-much" });
  const spoon = button("Spoon some out", () => send({ do: "spoon_out" }));
  const leave = button("Leave it so", () => go("end"), { id: "leave" });
  const watch = button("Watch a simulated hand", () => {
    send({ do: "watch", on: true });
    go("over");
  });
  const reopen = button("The first minute again", () => go("offer"), { id: "reopen" });

  const stages = {
    offer: () => [
      "Pour one measure with your own hand, and hear what the scale makes of it. Nothing can break.",
      [start, watch, close],
    ],
    vessel: () => [`Set a ${drink.vessel} on the pan. That is all the scale needs to begin.`, [setDown, close]],
    "vessel-2": () => [`A fresh ${drink.vessel}: set it on the pan.`, [setDown, close]],
    pour: () => [
      `Pour ${drink.build[0]}: hold the bottle and watch the number fall. The light goes amber for `
        + "ease, red for stop.",
      [toPad, close],
    ],
    "pour-2": () => ["Pour again, and keep pouring when it says stop.", [toPad, close]],
    pouring: () => [cue === "ease" ? "Ease: let the bottle up a little, and keep pouring slowly."
      : cue === "stop" ? "Stop: let it go."
        : "It measures the flow now. It will say ease about a second before stop.", []],
    "pouring-2": () => [cue === "stop" ? "It says stop. Pour on a second or two, then let go."
      : "Keep going, past ease and past stop.", []],
    judged: () => [`Judged: ${verdict}. The scale has already moved on to what comes next; had it `
      + "been short, it would ask for the rest.", [again, close]],
    over: () => ["", [reopen]],
    fixing: () => [`Too much: ${verdict}. ${fix ? `The scale offers: ${fix}. ` : ""}Nothing is held `
      + "up; what was really poured goes into the record either way.", [spoon, leave]],
    end: () => ["That is all of it: do the next thing, and the scale follows. Build the drink to its "
      + "end, compose a round below, or watch.", [watch, close]],
  };

  function show() {
    if (!drink && stage !== "over") {
      box.hidden = true;
      return;
    }
    box.hidden = false;
    const [words, buttons] = stages[stage]();
    const was = says.firstChild?.textContent ?? "";
    if (was !== words) says.replaceChildren(...(words ? [make("p", {}, words)] : []));
    const same = does.children.length === buttons.length
      && buttons.every((it, at) => does.children[at] === it);
    if (!same) {
      // Whoever came here by keyboard stays here, though the button is gone.
      const stays = does.contains(document.activeElement);
      does.replaceChildren(...buttons);
      if (stays) (buttons[0] ?? find("pad")).focus();
    }
    box.dataset.stage = stage;
  }

  function go(next) {
    stage = next;
    show();
  }

  const second = () => stage.endsWith("-2");

  function hear({ word, rest }) {
    if (word === "placed" && stage.startsWith("vessel")) go(second() ? "pour-2" : "pour");
    if (word === "pour starts" && /^pour(-2)?$/.test(stage)) go(second() ? "pouring-2" : "pouring");
    if (word === "verdict" && /^(pouring|fixing)/.test(stage)) {
      const [judged, poured] = rest.split(", ");
      verdict = `${judged}, ${poured}`;
      if (judged === "over") go("fixing");
      else if (stage === "pouring") go(judged === "short" ? "pour" : "judged");
      else if (stage === "fixing") go("end");
      else go("pour-2");
    }
    if (word === "fix") {
      fix = rest;
      show();
    }
  }

  return {
    fill(house) {
      number = house.first;
      drink = house.drinks[number] ?? null;
      if (stage !== "over") stage = "offer";
      show();
    },
    follow(state) {
      if (state.cue === cue) return;
      cue = state.cue;
      if (stage.startsWith("pouring")) show();
    },
    hears(list) {
      const last = list.at(-1)?.number ?? 0;
      // What happened before the page looked, or before another start, is no news.
      if (seen !== null && last >= seen) list.filter((it) => it.number > seen).forEach(hear);
      seen = last;
    },
  };
}
