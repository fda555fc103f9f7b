/* Saves each row as it is counted, and keeps what could not be sent until the network is back.
   Works on: ul[data-rows] with a form in each li (li[data-stray]: not expected on the stall),
   [data-counted] and [data-all] for the progress, [data-unsent] for what waits, [data-where] for
   the corner that is counted. Each form carries its own key, so that sending again counts once.
   Without this script every form is an ordinary one. */
"use strict";
(() => {
  const list = document.querySelector("[data-rows]");
  if (!list) return;
  const counted = new Set([...list.querySelectorAll("li.done")].map((row) => row.id));
  const waiting = new Map(); // li id -> the row that could not be sent yet

  const step = (name) => {
    for (const place of document.querySelectorAll(`[data-${name}]`)) place.textContent = String(Number(place.textContent) + 1);
  };

  const tellUnsent = () => {
    const place = document.querySelector("[data-unsent]");
    place.hidden = waiting.size === 0;
    place.textContent = waiting.size === 0 ? "" : `${waiting.size} not sent yet: no network. Kept on this page.`;
  };

  const put = (row, html) => {
    const made = document.createElement("template");
    made.innerHTML = html.trim();
    const fresh = made.content.firstElementChild;
    if (!fresh || fresh.id !== row.id) throw new Error("That is no row");
    const hadFocus = row.contains(document.activeElement);
    if (fresh.classList.contains("done") && !counted.has(row.id)) {
      counted.add(row.id);
      step("counted");
      if ("stray" in row.dataset) step("all");
    }
    row.replaceWith(fresh);
    window.wareboard.thumbs(fresh);
    if (!hadFocus) return;
    const bad = fresh.classList.contains("bad");
    const next = bad ? fresh : fresh.nextElementSibling || fresh;
    const field = next.querySelector("input[type=number]");
    if (field) field.focus({ preventScroll: bad });
    // What went wrong stands below the row's field: bring it out from under the total.
    if (bad) fresh.scrollIntoView({ block: "center" });
  };

  const send = async (row, address, body) => {
    let answer;
    try {
      answer = await fetch(address, { method: "POST", body, headers: { "X-Row": "1" }, credentials: "same-origin" });
    } catch {
      waiting.set(row.id, { address, body });
      row.classList.add("unsent");
      tellUnsent();
      return;
    }
    if (answer.redirected || (answer.status !== 200 && answer.status !== 409)) {
      // Logged out, or the server is in trouble: the page itself says what is the matter.
      waiting.set(row.id, { address, body });
      row.classList.add("unsent");
      tellUnsent();
      return;
    }
    waiting.delete(row.id);
    tellUnsent();
    put(row, await answer.text());
  };

  list.addEventListener("submit", (event) => {
    const form = event.target;
    const row = form.closest("li[id]");
    if (!row) return;
    event.preventDefault();
    const body = new FormData(form);
    if (event.submitter && event.submitter.name) body.set(event.submitter.name, event.submitter.value);
    const where = document.querySelector("[data-where]");
    if (where && body.get("how") === "more") body.set("where", where.value);
    send(row, form.action, body);
  });

  const again = () => {
    for (const [id, { address, body }] of [...waiting]) {
      const row = document.getElementById(id);
      if (row) send(row, address, body);
    }
  };
  window.addEventListener("online", again);
  window.setInterval(again, 15000);
  window.addEventListener("beforeunload", (event) => {
    if (waiting.size) event.preventDefault();
  });
})();
