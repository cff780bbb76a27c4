// Makes and finds elements. Nothing here or elsewhere writes HTML as text, so what people type is never read as HTML.

const SVG = "http://www.w3.org/2000/svg";

/** @typedef {Node | string | null | undefined | false} Child */
/** @typedef {Record<string, string | number | boolean | undefined | ((event: any) => void)>} Attributes */

/**
 * An HTML element. An attribute that is a function listens to the event of its name.
 * @template {keyof HTMLElementTagNameMap} K
 * @param {K} name
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {HTMLElementTagNameMap[K]}
 */
export function el(name, attributes = {}, ...children) {
  return dress(document.createElement(name), attributes, children);
}

/**
 * An SVG element.
 * @param {string} name
 * @param {Attributes} [attributes]
 * @param {...Child} children
 * @returns {SVGElement}
 */
export function svg(name, attributes = {}, ...children) {
  return dress(/** @type {SVGElement} */ (document.createElementNS(SVG, name)), attributes, children);
}

/**
 * @template {Element} E
 * @param {E} element
 * @param {Attributes} attributes
 * @param {Child[]} children
 * @returns {E}
 */
function dress(element, attributes, children) {
  for (const [name, value] of Object.entries(attributes)) {
    if (typeof value === "function") element.addEventListener(name, value);
    else if (value !== undefined && value !== false) element.setAttribute(name, value === true ? "" : String(value));
  }
  element.append(...present(children));
  return element;
}

/**
 * @param {Child[]} children
 * @returns {(Node | string)[]}
 */
function present(children) {
  return /** @type {(Node | string)[]} */ (children.filter((child) => child || child === ""));
}

/**
 * Exchange what an element holds.
 * @param {Element} element
 * @param {...Child} children
 */
export function fill(element, ...children) {
  element.replaceChildren(...present(children));
}

/**
 * The element of an id, which must be there.
 * @param {string} id
 * @returns {HTMLElement}
 */
export function byId(id) {
  const found = document.getElementById(id);
  if (!found) throw new Error(`no element ${id}`);
  return found;
}

/**
 * A table with a heading for each column, which scrolls by itself where it is wider than the page.
 * @param {string} caption
 * @param {string[]} headings
 * @param {Child[][]} rows the first cell of each is its heading
 * @param {(index: number) => string} [classOf]
 */
export function table(caption, headings, rows, classOf = () => "") {
  return el(
    "div",
    { class: "scrolls", tabindex: 0, role: "region", "aria-label": caption },
    el(
      "table",
      {},
      el("caption", {}, caption),
      el("thead", {}, el("tr", {}, ...headings.map((text) => (text ? el("th", { scope: "col" }, text) : el("td"))))),
      el(
        "tbody",
        {},
        ...rows.map(([first, ...cells], index) =>
          el("tr", { class: classOf(index) || undefined }, el("th", { scope: "row" }, first), ...cells.map((cell) => el("td", {}, cell))),
        ),
      ),
    ),
  );
}

/**
 * What is folded away until somebody wants it.
 * @param {string} id
 * @param {string} title
 * @param {...Child} children
 */
export function fold(id, title, ...children) {
  return el("details", { id }, el("summary", {}, title), ...children);
}

/**
 * Save something as a file.
 * @param {Blob} blob
 * @param {string} name
 */
export function save(blob, name) {
  const url = URL.createObjectURL(blob);
  const link = el("a", { href: url, download: name });
  link.click();
  setTimeout(() => URL.revokeObjectURL(url), 60_000);
}
