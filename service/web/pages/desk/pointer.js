// JSON Pointers (RFC 6901) into a request; its members need no escapes.

/** @typedef {Record<string, any>} Request */

/**
 * @param {Request} request
 * @param {string} pointer
 * @returns {any} undefined where nothing is
 */
export function at(request, pointer) {
  return pointer
    .slice(1)
    .split("/")
    .reduce((/** @type {any} */ place, name) => place?.[name], request);
}

/**
 * Set a member, making what leads to it.
 * @param {Request} request
 * @param {string} pointer
 * @param {unknown} value undefined: the member is left out
 */
export function set(request, pointer, value) {
  const names = pointer.slice(1).split("/");
  const last = names.pop() ?? "";
  /** @type {any} */
  let place = request;
  names.forEach((name, index) => {
    place[name] ??= /^\d+$/.test(names[index + 1] ?? last) ? [] : {};
    place = place[name];
  });
  if (value === undefined) delete place[last];
  else place[last] = value;
}

/**
 * The request with changes made to it, as a cure has them.
 * @param {Request} request
 * @param {{pointer: string, value?: unknown}[]} changes
 * @returns {Request}
 */
export function changed(request, changes) {
  const copy = structuredClone(request);
  for (const { pointer, value } of changes) set(copy, pointer, value);
  return copy;
}
