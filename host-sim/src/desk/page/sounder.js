// The sounder as real sound. Off until somebody asks for it: browsers want it so, and so does a
// quiet room. The notes are the core's own, told by the server.

import { find, mark, say } from "./dom.js";

// A note comes and goes within this, seconds: no click.
const EDGE_S = 0.006;

export function makeSounder() {
  const sound = find("sound");
  const volume = find("volume");
  let audio = null;
  let level = null;
  let ramp = null;
  let on = false;
  let notes = {};
  let last = null;

  const loudness = () => (volume.value / 100) ** 2 * 0.5;

  function voice(hertz) {
    const tone = audio.createOscillator();
    // A small sounder is no flute: a square wave, its sharpest edge taken off.
    tone.type = "square";
    tone.frequency.value = hertz;
    const soft = audio.createBiquadFilter();
    soft.type = "lowpass";
    soft.frequency.value = 5000;
    const gate = audio.createGain();
    gate.gain.value = 0;
    tone.connect(soft).connect(gate).connect(level);
    return { tone, gate: gate.gain };
  }

  function play(name) {
    const start = audio.currentTime + 0.005;
    for (const [from, to, hertz] of notes[name] ?? []) {
      const { tone, gate } = voice(hertz);
      gate.setValueAtTime(0, start + from);
      gate.linearRampToValueAtTime(1, start + from + EDGE_S);
      gate.setValueAtTime(1, start + to - EDGE_S);
      gate.linearRampToValueAtTime(0, start + to);
      tone.start(start + from);
      tone.stop(start + to + 0.02);
    }
  }

  function follow(hertz) {
    const now = audio.currentTime;
    if (hertz && !ramp) {
      ramp = voice(hertz);
      ramp.tone.start();
      ramp.gate.setTargetAtTime(1, now, 0.01);
    } else if (hertz) {
      ramp.tone.frequency.setTargetAtTime(hertz, now, 0.015);
    } else if (ramp) {
      ramp.gate.setTargetAtTime(0, now, 0.01);
      ramp.tone.stop(now + 0.08);
      ramp = null;
    }
  }

  sound.addEventListener("click", async () => {
    on = !on;
    mark(sound, "aria-pressed", on);
    say(sound, on ? "Sound: on" : "Sound: off");
    find("volume-of").hidden = !on;
    if (on && !audio) {
      audio = new AudioContext();
      level = audio.createGain();
      level.gain.value = loudness();
      level.connect(audio.destination);
    }
    if (on) {
      await audio.resume();
      play("next");
    } else {
      follow(null);
      await audio.suspend();
    }
  });
  volume.addEventListener("input", () => {
    if (level) level.gain.setTargetAtTime(loudness(), audio.currentTime, 0.02);
  });

  return {
    learn(sounds) {
      notes = Object.fromEntries(sounds);
      last = null;
    },
    hear({ sound: [count, name], hz }) {
      // What sounded before the page looked is over.
      const begins = last !== null && count > last;
      last = count;
      if (!on) return;
      if (begins) play(name);
      follow(hz);
    },
  };
}
