/* Counts the figures, and keeps a check on the phone while there is no network; without this the form works all the same. */
"use strict";
const clock = () => new Date();
(() => {
  const form = document.querySelector("[data-gauging]"), KEY = "wheelside-gaugings";
  const told = document.querySelector("[data-kept]"), filled = document.querySelector(".filled");
  if (!form || !told) return;
  const fields = [...form.querySelectorAll(".the-four input")], marks = [...document.querySelectorAll(".ruler i")];
  const count = () => {
    const n = fields.filter(f => f.value.trim()).length;
    filled.textContent = n ? `${n} of ${fields.length} figures` : `${fields.length} figures`;
    marks.forEach((m, i) => m.classList.toggle("done", i < n));
  };
  fields.forEach(f => f.addEventListener("input", count));
  count();
  const held = () => { try { return JSON.parse(localStorage.getItem(KEY)) || []; } catch { return []; } };
  const hold = all => { try { localStorage.setItem(KEY, JSON.stringify(all)); return true; } catch { return false; } };
  const send = body => fetch("/gauge", {method: "POST", body: new URLSearchParams(body), redirect: "manual", credentials: "same-origin"});
  let odd = "";
  const say = () => { const n = held().length; told.textContent = odd || n === 0 ? odd : `▲ No network: ${n === 1 ? "one check is" : n + " checks are"} kept on this phone, and sent later.`; };
  const sendHeld = async () => {
    const all = held(), ticket = form.elements.ticket.value, left = [];
    for (const one of all) {
      try {
        const r = await send(one.map(([k, v]) => [k, k === "ticket" ? ticket : v]));
        if (r.type === "opaqueredirect") continue;
        if (r.status !== 422) { left.push(one); continue; }
        for (const [k, v] of one) if (k.startsWith("g.") && form.elements[k]) form.elements[k].value = v;
        odd = "▲ A check that was kept here has an odd figure: look at it, then keep it again.";
      } catch { left.push(one); }
    }
    if (all.length) { hold(left); count(); say(); }
  };
  addEventListener("online", sendHeld);
  sendHeld(); say();
  form.addEventListener("submit", async ev => {
    if (ev.submitter && ev.submitter.name) return; // asks the car: nothing is kept by that
    form.elements.at.value = clock().getTime();
    ev.preventDefault();
    const body = [...new FormData(form)].map(([k, v]) => [k, String(v)]);
    try { await fetch("/gauge?car=" + encodeURIComponent(form.elements.car.value), {method: "HEAD", credentials: "same-origin"}); form.submit(); }
    catch {
      if (!hold([...held(), body])) { told.textContent = "▲ No network, and this phone could not keep it: write the figures down."; return; }
      fields.forEach(f => { f.value = ""; }); count(); say();
    }
  });
})();
