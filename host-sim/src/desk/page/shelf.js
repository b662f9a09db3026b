// The shelf, and the bottle in the hand. Holding tilts it; how far decides the flow.

import { button, find, make, mark, say } from "./dom.js";

// A drag of so many pixels is the whole way from upright to upside down.
const WHOLE_PX = 220;
const KEY_STEP = 0.1;
// The bench takes a tilt that is not repeated for a bottle let go.
const REPEAT_MS = 100;

const SAYS = {
  pour: "Hold to pour; drag down for more, up for less. Keys: hold Space, arrows change the tilt, "
    + "Escape lets go.",
  dash: "Press for one dash.",
  piece: "Press for one of them.",
};

export function makeShelf(send) {
  const pad = find("pad");
  let bottles = [];
  let cards = [];
  let picked = 0;
  let far = 0;
  let timer = null;
  let from = null;
  let flow = 0;

  // How far a bottle is tilted when it is taken: a careful pour.
  const careful = () => bottles[picked].careful;
  const gives = () => bottles[picked]?.gives ?? "pour";

  function show() {
    const bottle = bottles[picked];
    if (!bottle) return;
    say(find("pad-name"), bottle.name);
    say(find("pad-how"), SAYS[gives()]);
    const held = far > 0;
    mark(pad, "data-held", held);
    find("pad-bottle").style.transform = `rotate(${Math.round(far * 125)}deg)`;
    find("pad-gauge").style.width = `${Math.round(far * 100)}%`;
    const told = held ? `tilted ${Math.round(far * 100)} %, ${flow.toFixed(1)} g/s` : "upright";
    say(find("pad-tilt"), told);
    cards.forEach((card, number) => mark(card, "aria-pressed", number === picked));
  }

  function pick(number) {
    if (number !== picked) letGo();
    picked = number;
    show();
  }

  const hold = () => send({ do: "tilt", bottle: picked, far });

  function tilt(to) {
    far = Math.min(1, Math.max(0, to));
    if (far < 0.03) {
      letGo();
      return;
    }
    hold();
    timer ??= setInterval(hold, REPEAT_MS);
    show();
  }

  function letGo() {
    clearInterval(timer);
    timer = null;
    from = null;
    if (far > 0) send({ do: "upright" });
    far = 0;
    show();
  }

  // One press of what is not poured.
  function drop() {
    send({ do: "dash", bottle: picked });
  }

  function press(event, grip) {
    if (event.button !== 0) return;
    if (gives() !== "pour") {
      drop();
      return;
    }
    grip.setPointerCapture(event.pointerId);
    from = { y: event.clientY, far: careful() };
    tilt(careful());
  }

  function follow(grip) {
    grip.addEventListener("pointermove", (event) => {
      if (from) tilt(Math.max(0.04, from.far + (event.clientY - from.y) / WHOLE_PX));
    });
    for (const end of ["pointerup", "pointercancel", "lostpointercapture"]) {
      grip.addEventListener(end, () => from && letGo());
    }
  }

  pad.addEventListener("pointerdown", (event) => press(event, pad));
  pad.addEventListener("contextmenu", (event) => event.preventDefault());
  follow(pad);

  // The arrows tilt without holding: whoever cannot hold a key pours as well.
  pad.addEventListener("keydown", (event) => {
    const { key } = event;
    if (key === " " || key === "Enter") {
      event.preventDefault();
      if (event.repeat) return;
      if (gives() !== "pour") drop();
      else tilt(careful());
    } else if (key === "ArrowDown" && gives() === "pour") {
      event.preventDefault();
      tilt(far + KEY_STEP);
    } else if (key === "ArrowUp" && gives() === "pour") {
      event.preventDefault();
      tilt(far - KEY_STEP);
    } else if (key === "Escape") {
      letGo();
    }
  });
  pad.addEventListener("keyup", (event) => {
    if (event.key === " " || event.key === "Enter") {
      event.preventDefault();
      if (gives() === "pour") letGo();
    }
  });
  pad.addEventListener("blur", letGo);
  document.addEventListener("visibilitychange", () => document.hidden && letGo());
  window.addEventListener("pagehide", letGo);

  find("small-measures").append(
    button("A barspoon of it", () => send({ do: "barspoon", bottle: picked })),
    button("A dash of it", () => send({ do: "dash", bottle: picked })),
  );

  function card(bottle, number) {
    const strength = bottle.abv_percent > 0 ? `${bottle.abv_percent} % vol` : bottle.family;
    const pace = {
      pour: `~${bottle.flow_ml_s.toFixed(0)} ml/s`,
      dash: "by the dash",
      piece: "as a whole",
    }[bottle.gives];
    const grip = button(bottle.name, () => pick(number), { "aria-pressed": false });
    const tag = make("small", { class: "tag", hidden: true }, "asked for");
    grip.append(make("small", {}, `${strength}, ${pace}`));
    if (bottle.allergens.length > 0) {
      grip.append(make("small", {}, `contains ${bottle.allergens.join(", ")}`));
    }
    grip.append(tag);
    grip.addEventListener("pointerdown", (event) => {
      // A finger scrolls over the shelf: it picks here, and pours on the pad.
      if (event.pointerType !== "mouse") return;
      pick(number);
      press(event, grip);
    });
    follow(grip);
    return grip;
  }

  return {
    fill(house) {
      letGo();
      bottles = house.bottles;
      picked = Math.min(picked, bottles.length - 1);
      cards = bottles.map(card);
      find("bottles").replaceChildren(...cards);
      show();
    },
    follow(state) {
      flow = state.tilt?.flow_g_s ?? 0;
      cards.forEach((grip, number) => {
        const wanted = bottles[number].name === state.asked;
        grip.classList.toggle("asked", wanted);
        grip.querySelector(".tag").hidden = !wanted;
      });
      if (far > 0) show();
    },
    pick(name) {
      const number = bottles.findIndex((bottle) => bottle.name === name);
      if (number >= 0) pick(number);
    },
    letGo,
  };
}
