/* What makes the pages handier; every page works without it.
   Counts get a button on either side, a form that was refused shows why first,
   a table that fits is no stop for the Tab key, and a form is not sent twice by one thumb. */
"use strict";
(() => {
  const step = (input, by) => {
    const before = input.value;
    const size = Number(input.step) || 1;
    const low = input.min === "" ? -Infinity : Number(input.min);
    const high = input.max === "" ? Infinity : Number(input.max);
    const next = Math.min(high, Math.max(low, (Number(input.value) || 0) + by * size));
    if (String(next) === before) return;
    input.value = String(next);
    input.dispatchEvent(new Event("input", { bubbles: true }));
    input.dispatchEvent(new Event("change", { bubbles: true }));
  };

  const button = (input, by, name) => {
    const made = document.createElement("button");
    made.type = "button";
    made.textContent = by < 0 ? "−1" : "+1";
    made.setAttribute("aria-label", `${by < 0 ? "One fewer" : "One more"}: ${name}`);
    made.addEventListener("click", () => step(input, by));
    return made;
  };

  const nameOf = (input) =>
    input.getAttribute("aria-label") || (input.labels && input.labels[0] ? input.labels[0].firstChild.textContent.trim() : input.name);

  // Somebody may be typing into it already: it keeps the focus, and what is half typed is no change.
  const moveInto = (box, input) => {
    const isTypedIn = document.activeElement === input;
    if (box.moveBefore && input.isConnected) box.moveBefore(input, null);
    else box.append(input);
    if (isTypedIn) input.focus();
  };

  const thumbs = (root) => {
    for (const input of root.querySelectorAll("input.count:not([data-thumbs])")) {
      input.dataset.thumbs = "";
      const name = nameOf(input);
      const box = document.createElement("span");
      box.className = "stepper";
      const [fewer, more] = [button(input, -1, name), button(input, 1, name)];
      input.before(box);
      moveInto(box, input);
      box.prepend(fewer);
      box.append(more);
      const mark = () => {
        fewer.setAttribute("aria-disabled", String(input.min !== "" && Number(input.value) <= Number(input.min)));
        more.setAttribute("aria-disabled", String(input.max !== "" && Number(input.value) >= Number(input.max)));
      };
      input.addEventListener("input", mark);
      mark();
    }
  };

  const regions = () => {
    for (const region of document.querySelectorAll(".scroll[role=region]")) {
      if (region.scrollWidth > region.clientWidth) region.setAttribute("tabindex", "0");
      else region.removeAttribute("tabindex");
    }
  };

  const once = (event) => {
    const form = event.target;
    if (event.defaultPrevented || form.method !== "post") return;
    if (form.dataset.sent) event.preventDefault();
    form.dataset.sent = "1";
    // A form that answers with a file leaves its page standing: let it be sent again after a while.
    window.setTimeout(() => delete form.dataset.sent, 4000);
  };

  // A wide page has the room to show what narrows a list.
  const wide = window.matchMedia("(min-width: 60rem)");
  const unfold = () => {
    for (const details of document.querySelectorAll(".seek details")) {
      details.toggleAttribute("data-wide", wide.matches);
      if (wide.matches) details.open = true;
    }
  };

  unfold();
  wide.addEventListener("change", unfold);
  thumbs(document);
  regions();
  window.addEventListener("resize", regions);
  document.addEventListener("submit", once);
  window.addEventListener("pageshow", () => {
    for (const form of document.querySelectorAll("form[data-sent]")) delete form.dataset.sent;
  });
  const summary = document.querySelector(".summary");
  if (summary) summary.focus();
  window.wareboard = Object.freeze({ thumbs });
})();
