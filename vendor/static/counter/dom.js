/** Small helpers to find and make elements. */

/** @param {string} id @returns {any} */
export const byId = (id) => document.getElementById(id);

/**
 * An element with properties (`class`, `data-…` and `aria-…` as attributes) and children.
 * @param {string} tag
 * @param {Record<string, any>} [given]
 * @param {...(Node | string)} children
 * @returns {any}
 */
export function make(tag, given = {}, ...children) {
  const element = document.createElement(tag);
  for (const [name, value] of Object.entries(given)) {
    if (name === "class") element.className = value;
    else if (name.includes("-") || name === "role" || name === "for") element.setAttribute(name, value);
    else Object.assign(element, { [name]: value });
  }
  element.append(...children);
  return element;
}

/** @param {string} svg a drawing that our own server made */
export function drawing(svg) {
  const holder = document.createElement("template");
  holder.innerHTML = svg;
  return holder.content.firstElementChild ?? "";
}

/** @param {number} count @param {string} one @param {string} [many] */
export const plural = (count, one, many = `${one}s`) => `${count} ${count === 1 ? one : many}`;

/**
 * Ask something in a sheet over the page; the answer is the value of the button pressed.
 * @param {any} dialog a <dialog> whose buttons close it with a value
 * @returns {Promise<string>}
 */
export function asked(dialog) {
  dialog.returnValue = "";
  dialog.showModal();
  return new Promise((resolve) => {
    dialog.addEventListener("close", () => resolve(dialog.returnValue), { once: true });
  });
}

/** Wait until what the page shows by now is on the screen, or would be if anybody looked. */
export function painted() {
  return new Promise((resolve) => {
    // A frame is painted after its callbacks; when the next has run them, it is.
    requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(resolve)));
    // No frame is made of a page that is not to be seen.
    setTimeout(resolve, 200);
  });
}
