// Small helpers for building the page. Texts are always set as text, never as markup: names come
// out of a sheet that anybody may have written.

export const find = (id) => document.getElementById(id);

export function make(name, traits = {}, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(traits)) {
    if (key.startsWith("on")) node.addEventListener(key.slice(2), value);
    else if (value === true) node.setAttribute(key, "");
    else if (value !== false && value !== null && value !== undefined) {
      node.setAttribute(key, value);
    }
  }
  node.append(...children.filter((child) => child !== null && child !== undefined));
  return node;
}

export function button(words, act, traits = {}) {
  return make("button", { type: "button", onclick: act, ...traits }, words);
}

// Leaves a node alone that says so already: screen readers would say it again.
export function say(node, words) {
  if (node.textContent !== words) node.textContent = words;
}

export function mark(node, name, value) {
  if (node.getAttribute(name) !== String(value)) node.setAttribute(name, String(value));
}

export const grams = (value, digits = 1) => `${value.toFixed(digits).replace("-0.0", "0.0")} g`;

export const calm = () => matchMedia("(prefers-reduced-motion: reduce)").matches;
