/* One step in hand: what is answered by a tap, what follows from a figure, what is gathered when it is done. */
import {clock, since} from "./clock.js";
import {smaller} from "./queue.js";

export const el = (tag, cls, text) => { const e = document.createElement(tag); if (cls) e.className = cls; if (text) e.textContent = text; return e; };
const radio = (ask, value) => [...ask.querySelectorAll("input[type=radio]")].find(r => r.value === value);
const checked = ask => ask.querySelector("input[type=radio]:checked");
export const textIn = ask => ask.querySelector("input:not([type=radio]):not([type=checkbox]):not([type=file]), textarea:not([name^='w-'])");

export const titleOf = s => s.querySelector(".head").textContent;

/* Rows come packed: one that differs from another in single words as those words, and so do their lines. What the script goes by is noted on each. */
function like(known, text) {
  const [at, ...parts] = text.slice(1).split(" "), to = new Map();
  let place = 0, n = 0;
  for (const part of parts) { const [by, word] = part.split("="); place += Number(by); to.set(place, word); }
  return known[at].replace(/[A-Za-z0-9]+/g, one => to.get(n++) ?? one);
}
/* Each QR code is drawn once, from the dark modules of its rows. */
export function drawCodes(root) {
  for (const code of root.dataset.codes.split(" ").filter(Boolean)) {
    const [text, ...dark] = code.split(","), size = dark.length;
    let path = "";
    dark.forEach((row, y) => parseInt(row, 16).toString(2).padStart(size, "0").replace(/1+/g, (run, x) => { path += `M${x} ${y}.5h${run.length}`; }));
    document.querySelector(".codes").insertAdjacentHTML("beforeend", `<symbol id="qr-${text}" viewBox="-2 -2 ${size + 4} ${size + 4}"><path d="${path}" stroke="#000"/></symbol>`);
  }
}
export function unpack(root) {
  const rows = [], lines = [];
  const line = text => text[0] === "^" ? like(lines, text) : (lines.push(text), text);
  const row = text => text[0] === "~" ? like(rows, text) : rows[rows.push(text.split("\n").map(line).join("\n")) - 1];
  for (const box of root.querySelectorAll("script[type='text/plain']")) { box.insertAdjacentHTML("beforebegin", box.textContent.split("\f").map(row).join("")); box.remove(); }
  for (const s of root.querySelectorAll(".step")) {
    s.dataset.step = s.id.slice(5);
    const mark = el("p", "vh"), also = el("p", "also"), skip = el("button", "link", "Skip it …"), more = el("a", "", "All about it");
    mark.dataset.mark = skip.dataset.skip = ""; s.querySelector(".head").after(mark);
    skip.type = "button"; more.href = `/jobs/${root.dataset.job}/steps/${s.dataset.step}`;
    also.append(skip, more);
    if (!s.querySelector(".more")) { const fold = el("details", "fold more"); fold.append(el("summary", "", "More, or skip it")); s.querySelector("form").append(fold); }
    s.querySelector(".more").append(also);
    const title = s.closest(".row-one").querySelector(".corner"); title.textContent = title.textContent || titleOf(s);
    for (const a of s.querySelectorAll(".ask")) {
      const tiles = a.querySelector(".tiles"), kinds = {checkbox: "done", file: "photo"}, box = a.querySelector("[name^='a-']");
      a.dataset.ask = a.dataset.ask || box.name.slice(2);
      a.dataset.kind = a.dataset.kind || (tiles ? (box ? "id" : "pick") : a.querySelector("[name^='n-']") ? "id" : kinds[box.type] || "words");
      for (const id of a.querySelectorAll("input.id")) { id.spellcheck = false; id.autocapitalize = "characters"; }
      if ("words" in a.dataset) {
        const fold = el("details", "fold words"), box = el("textarea", "", a.dataset.words);
        box.name = "w-" + a.dataset.ask; box.maxLength = 2000; box.setAttribute("aria-label", "In words");
        fold.append(el("summary", "", "In words, where there is more to say"), box); a.append(fold);
      }
      if (tiles) tiles.replaceChildren(...tiles.textContent.split("|").map(one => tile(a, one)));
    }
  }
}
function tile(ask, one) { /* one option: its code, and its words where they differ */
  const on = one[0] === "*", [code, words] = one.slice(on ? 1 : 0).split(/=(.*)/s), label = el("label", code === "as-shown" ? "shown" : ""), box = el("input");
  box.type = "radio"; box.name = (ask.dataset.kind === "id" ? "k-" : "a-") + ask.dataset.ask; box.value = code; box.defaultChecked = on;
  label.append(box, words ?? code);
  return label;
}

export function rowsOf(root, q, calls, figures, redraw) {
  const NO_ANSWER = root.dataset.noAnswer, FOLLOWS = Number(root.dataset.follows);
  const asksOf = s => [...s.querySelectorAll("[data-ask]")];
  const askOf = (s, id) => s.querySelector(`[data-ask="${CSS.escape(id)}"]`);

  /* What was said at one ask of a form. */
  function saidIn(ask) {
    if (ask.dataset.kind === "photo") return "";
    const tick = ask.querySelector(".tick input");
    if (ask.dataset.kind === "done") return tick.checked ? "yes" : "";
    if (ask.dataset.kind === "pick") return checked(ask)?.value || "";
    if (ask.dataset.kind === "id" && (tick?.checked || checked(ask)?.value === NO_ANSWER)) return NO_ANSWER;
    if (ask.dataset.kind === "id" && checked(ask)?.value === "as-shown") return "as-shown";
    return textIn(ask).value.trim();
  }
  const here = s => Object.fromEntries(asksOf(s).map(a => [s.dataset.step + "/" + a.dataset.ask, saidIn(a)]));
  const isAsked = (s, ask, form) => calls.called(ask.dataset.only, form || here(s));

  /* --- whether the pinned action answers it by itself --- */
  const aside = s => asksOf(s).some(a => !("free" in a.dataset) && ((a.dataset.kind === "id" && checked(a) && checked(a).value !== "as-shown") || (a.dataset.kind === "pick" && checked(a) && checked(a).value !== a.dataset.expect)));
  const oneTap = s => s.dataset.tap && !aside(s) ? s.dataset.tap : "";
  function asPlanned(s) {
    for (const a of asksOf(s)) {
      if ("free" in a.dataset && !(a.dataset.kind === "pick" && a.dataset.expect === "yes")) continue;
      if (a.dataset.kind === "done") a.querySelector("input").checked = true;
      else if (a.dataset.kind === "pick" && !checked(a)) radio(a, a.dataset.expect).checked = true;
      else if (a.dataset.kind === "id" && !saidIn(a)) radio(a, "as-shown").checked = true;
    }
  }

  /* --- the dash's figures: its own one followed, another did, or none --- */
  function dash(s) {
    const ask = s.querySelector("[data-moved]");
    if (!ask || ask.querySelector(".moved")) return;
    const [before, now] = ask.dataset.moved.split(" ").map(id => textIn(askOf(s, id)));
    const pair = el("p", "moved"), other = el("button", "plain", "Another figure moved"), none = el("button", "plain", "Nothing moved");
    other.type = none.type = "button"; pair.append(other, none);
    ask.prepend(pair);
    const set = (value, open) => {
      const on = checked(ask); if (on) on.checked = false;
      if (value) radio(ask, value).checked = true;
      ask.classList.toggle("open", !!open); ask.dataset.by = value || open ? "hand" : "";
      other.setAttribute("aria-expanded", !!open); none.setAttribute("aria-pressed", value === "not-while-parked");
      ask.dispatchEvent(new Event("input", {bubbles: true}));
    };
    other.setAttribute("aria-expanded", "false"); none.setAttribute("aria-pressed", "false");
    other.addEventListener("click", () => set("", !ask.classList.contains("open")));
    none.addEventListener("click", () => set(checked(ask)?.value === "not-while-parked" ? "" : "not-while-parked"));
    const follow = () => {
      if (ask.dataset.by === "hand") return;
      const [b, n] = [before.value, now.value].map(figures.kpa), still = b !== null && n !== null && Math.abs(n - b) < FOLLOWS;
      const on = checked(ask); if (on) on.checked = false;
      if (n !== null && !still) radio(ask, ask.dataset.expect).checked = true;
    };
    for (const box of [before, now]) box.addEventListener("input", follow);
  }

  /* --- what was found, on a line --- */
  function shown(s, a, of) {
    const ask = askOf(s, a.ask);
    if (!ask || !a.said || "quiet" in ask.dataset || ask.dataset.kind === "words") return "";
    const bad = calls.asPlanned(of, a.said) === false ? "▲ " : "";
    if (ask.dataset.moved) return a.said === ask.dataset.expect && !bad ? "✓ dash followed" : a.said === "not-while-parked" ? "dash not shown" : "▲ " + (radio(ask, a.said)?.parentNode.textContent || a.said);
    if (ask.dataset.kind === "done") return "";
    if (ask.dataset.moved === undefined && /^dash-/.test(a.ask)) return "";
    if (a.said === "as-shown" || (ask.dataset.wanted && !bad && a.said !== NO_ANSWER)) return ask.dataset.wanted.replace(/(.{4})(?=.)/g, "$1 ").trim();
    if (ask.dataset.kind === "pick") return s.dataset.tap && !bad ? "" : bad + (radio(ask, a.said)?.parentNode.textContent.trim() || a.shown || a.said);
    return bad + (a.said === NO_ANSWER ? "no answer" : ask.dataset.kind === "id" ? a.said.toUpperCase() : ask.dataset.kind === "minutes" && /^\d+$/.test(a.said) ? a.said + " min" : a.said);
  }
  function found(s) {
    const is = q.standing(s.dataset.step), said = q.said(s.dataset.step) || [];
    if (is === "skipped") return "– skipped";
    if (is === "open") return "";
    const sign = is === "to-correct" ? "! " : is === "two-claims" ? "≠ " : "";
    const parts = said.map(a => shown(s, a, s.dataset.step + "/" + a.ask)).filter(Boolean);
    return sign + (parts.length > 3 ? `${parts.length} answers` : parts.join(/dash/.test(parts.at(-1)) ? " " : ", ")) + (sign || parts.some(p => /[▲✓]/.test(p)) ? "" : " ✓");
  }

  /* --- figures that follow from the tyre's temperature, or from what the gauge read before --- */
  function warm(card) {
    const box = card.querySelector("[data-warm]");
    if (!box) return;
    box.hidden = false;
    const input = box.querySelector("input"), key = "wheelside-warm-" + root.dataset.job + "-" + card.dataset.card;
    try { input.value = sessionStorage.getItem(key) || input.value; } catch { /* as the book has it */ }
    const own = s => s.querySelector("[name='a-temperature']");
    const steps = [...card.querySelectorAll("[data-step]")].filter(s => s.querySelector("[data-curve]"));
    const draw = () => {
      const now = figures.kelvin(input.value), heads = [...box.querySelectorAll("[data-kelvin]")];
      const off = heads.map(h => now === null ? Infinity : Math.abs(h.dataset.kelvin - now)), step = heads[1].dataset.kelvin - heads[0].dataset.kelvin;
      for (const tr of box.querySelectorAll("tr")) [...tr.children].slice(1).forEach((c, i) => { c.classList.toggle("in-use", off[i] < .3); c.classList.toggle("near", off[i] >= .3 && off[i] < step); }); /* between two columns neither is the figure */
      for (const s of steps) {
        if (!q.finished(s.dataset.step)) own(s).value = input.value;
        const kpa = figures.at(JSON.parse(s.querySelector("[data-curve]").dataset.curve), now);
        s.dataset.figure = kpa === null ? "" : figures.plain(kpa);
        s.dataset.nofigure = kpa !== null ? "" : now === null ? "The figure follows from the tyre’s temperature." : "No figure for a tyre this warm or cold: see that it is cold, or set it outside.";
      }
    };
    input.addEventListener("input", () => { try { sessionStorage.setItem(key, input.value); } catch { /* full */ } draw(); redraw(); });
    draw();
  }
  function before(s) { /* what the gauge read at the step that this one is compared with */
    const ask = s.querySelector("[data-beside]"), answer = ask && calls.told(ask.dataset.beside);
    if (answer && answer.said) s.dataset.figure = answer.said.replace(/\s*[a-z]+$/i, "");
  }

  /* --- refused: the field keeps the focus, the reason stands under it --- */
  function clear(s) {
    for (const p of s.querySelectorAll(".wrong")) p.remove();
    for (const b of s.querySelectorAll("[aria-invalid]")) { b.removeAttribute("aria-invalid"); b.removeAttribute("aria-describedby"); }
  }
  function refuse(s, why) { /* `why`: reasons by ask */
    clear(s);
    let first = null;
    for (const [id, text] of Object.entries(why)) {
      const ask = askOf(s, id) || s.querySelector("form"), p = el("p", "wrong", "■ " + text);
      p.id = `why-${s.dataset.step}-${id}`;
      const seen = [...ask.querySelectorAll("input:not([type=hidden]), textarea, .moved button")].filter(b => b.offsetParent);
      const box = seen.find(b => b.type !== "radio" && b.type !== "checkbox") || seen[0];
      ask.append(p);
      for (let fold = ask.closest("details"); fold; fold = fold.parentNode.closest("details")) fold.open = true;
      if (box) { box.setAttribute("aria-invalid", "true"); box.setAttribute("aria-describedby", p.id); first = first || box; }
    }
    first?.focus();
  }

  /* --- all that is said at a step: answers, or why it can't be sent so --- */
  async function gather(s) {
    const form = here(s), answers = [], why = {};
    for (const ask of asksOf(s)) {
      const id = ask.dataset.ask, asked = isAsked(s, ask, form);
      if (ask.dataset.kind === "photo") { const f = ask.querySelector("input").files[0]; answers.push({ask: id, said: "", words: "", photo: "", file: f ? await smaller(f) : null}); continue; }
      const said = asked ? form[s.dataset.step + "/" + id] : "", words = asked ? ask.querySelector("[name^='w-']")?.value.trim() || "" : "";
      answers.push({ask: id, said, words, photo: ""});
      if (!said && asked && !("free" in ask.dataset)) why[id] = ask.dataset.moved ? "Did its own figure follow? Type it, or tap what moved." : ask.dataset.kind === "pick" ? "Tap one of these." : "Answer this first, or skip it with a reason.";
      else if (said && ["pressure", "minutes", "tread", "temperature"].includes(ask.dataset.kind) && !/\d/.test(said)) why[id] = "Write a figure.";
    }
    return {answers, why, instrument: s.querySelector("[name=instrument]")?.value || ""};
  }

  /* --- clocks of steps that must not, or must, take a time --- */
  const keyOf = s => "wheelside-clock-" + root.dataset.job + "-" + (s.dataset.timed && !s.dataset.wait ? "group-" + s.dataset.timed : s.dataset.step);
  const begun = key => { try { return Number(localStorage.getItem(key)) || 0; } catch { return 0; } };
  const begin = key => { try { localStorage.setItem(key, clock().getTime()); } catch { /* private browsing: the clock is left out */ } };
  const mmss = s => `${s < 0 ? "+" : ""}${Math.floor(Math.abs(s) / 60)}:${String(Math.abs(s) % 60).padStart(2, "0")}`;
  const left = (limit, from) => Math.round(limit - since(from));
  function started(s) { /* a step of a timed group was done: its clock runs, and that of the next wheel */
    if (!s.dataset.allowed) return;
    if (!begun(keyOf(s))) begin(keyOf(s));
    begin(keyOf(s) + "-own");
  }
  function tick(card, s, steps) {
    const box = card.querySelector("[data-teach-clock]"), wait = s?.querySelector("[data-clock]");
    if (wait && s.dataset.wait) {
      const from = begun(keyOf(s)), t = left(Number(s.dataset.wait), from);
      s.querySelector("[data-start]").hidden = from > 0; wait.hidden = !from;
      wait.textContent = t < 0 ? "✓ " + mmss(-t) + " over" : mmss(t);
    }
    if (!box) return;
    const group = s?.dataset.timed ? steps.filter(o => o.dataset.timed === s.dataset.timed && o.dataset.allowed) : [];
    box.hidden = !group.length;
    if (!group.length) return;
    const limit = Math.max(...group.map(o => Number(o.dataset.allowed))), from = begun(keyOf(group[0])), own = begun(keyOf(group[0]) + "-own");
    const all = from ? left(limit, from) : limit, one = Number(s.dataset.allowed), mine = own ? left(one, own) : one, alone = one === limit;
    box.querySelector("[data-all-left]").textContent = mmss(all);
    box.querySelector("[data-own-left]").textContent = alone ? "" : mmss(mine);
    box.querySelectorAll("p span")[1].hidden = alone;
    box.classList.toggle("late", all < 0);
    const ruler = box.querySelector("[data-minutes]");
    if (!ruler.children.length) for (let n = 0; n < limit / 10; n++) { const i = el("i"); if (n % 6 === 5) i.dataset.minute = `${(n + 1) / 6}${n + 1 >= limit / 10 ? " min" : ""}`; ruler.append(i); }
    [...ruler.children].forEach((i, n) => i.classList.toggle("past", n < (limit - all) / 10));
  }

  for (const b of root.querySelectorAll("[data-start]")) b.addEventListener("click", () => { begin(keyOf(b.closest("[data-step]"))); redraw(); });
  return {asksOf, saidIn, here, isAsked, oneTap, aside, asPlanned, dash, found, warm, before, refuse, clear, gather, started, tick};
}
