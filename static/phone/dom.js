// Elements and words. No markup is ever made from text.

const WORDS = JSON.parse(document.getElementById("words").textContent);

/**
 * The words of a code, in the person's language; {name} takes a value.
 * @param {string} code
 * @param {Record<string, string|number>} [values]
 */
export function t(code, values = {}) {
  const text = WORDS[code] ?? code;
  return text.replace(/\{(\w+)\}/g, (_, name) => values[name] ?? "…");
}

/**
 * An element.
 * @param {string} tag
 * @param {Record<string, unknown>} [given] attributes; on… listeners; `class`; true and false set
 *   and leave out an attribute
 * @param {...(Node|string|null|false|undefined)} children
 */
export function el(tag, given = {}, ...children) {
  return filled(document.createElement(tag), given, children);
}

/** The same for drawings. */
export function svg(tag, given = {}, ...children) {
  return filled(document.createElementNS("http://www.w3.org/2000/svg", tag), given, children);
}

function filled(made, given, children) {
  for (const [name, value] of Object.entries(given)) {
    if (name.startsWith("on")) made.addEventListener(name.slice(2), value);
    else if (value === true) made.setAttribute(name, "");
    else if (value !== false && value !== null && value !== undefined) made.setAttribute(name, value);
  }
  made.append(...children.flat().filter((one) => one !== null && one !== false && one !== undefined));
  return made;
}

/**
 * A field with its label.
 * @param {string} id
 * @param {string} label
 * @param {HTMLElement} control
 * @param {string} [help]
 */
export function field(id, label, control, help) {
  control.id = id;
  control.name = id;
  const said = help && el("p", { class: "help", id: `${id}-help` }, help);
  if (said) control.setAttribute("aria-describedby", said.id);
  return el("div", { class: "field" }, el("label", { for: id }, label), control, said);
}

/**
 * A choice of codes.
 * @param {Record<string, string>|[string, string][]} list
 * @param {string} [chosen]
 * @param {string} [empty] words of no choice, where that is one
 */
export function choice(list, chosen, empty) {
  const made = el("select");
  if (empty !== undefined) made.append(el("option", { value: "" }, empty));
  for (const [code, words] of Array.isArray(list) ? list : Object.entries(list)) {
    made.append(el("option", { value: code, selected: code === chosen }, words));
  }
  return made;
}
