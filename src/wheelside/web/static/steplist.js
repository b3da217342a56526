/* The run sheet of a job from before there were cards: one step at a time, answers queued on the phone and sent once each. */
import {clock} from "./clock.js";
import {fill, openQueue, rivals, smaller} from "./queue.js";
import {figuresOf} from "./figures.js";

const root = document.querySelector("[data-job]");
if (root && window.indexedDB) (async () => {
const JOB = root.dataset.job, NO_ANSWER = root.dataset.noAnswer, STANDINGS = JSON.parse(root.dataset.standings);
const sections = [...root.querySelectorAll("[data-step]")];
const byId = new Map(sections.map(s => [s.dataset.step, s]));
for (const p of root.querySelectorAll("[data-as]")) p.innerHTML = document.getElementById(p.dataset.as).innerHTML; /* what is said at several steps stands in full at each */
const say = root.querySelector("[data-line]");
const figures = figuresOf(root);
let current = null;
const q = await openQueue(root, sections.map(s => [s.dataset.step, s.dataset.standing || "open"]), () => draw(), c => fill(byId.get(c.step).querySelector("form[data-claim]"), c.answers, NO_ANSWER));
const {states, finished, standing} = q;

/* --- what stands where --- */
const waitsOf = s => {
  const locks = sections.slice(0, sections.indexOf(s)).filter(o => "lock" in o.dataset).map(o => o.dataset.step);
  return [...new Set([...(s.dataset.waits || "").split(" "), ...locks])].filter(w => byId.has(w) && !finished(w));
};
const SIGN = {done: "✓", skipped: "–", open: "○", "to-correct": "!", "two-claims": "≠"};
const title = id => byId.get(id).querySelector("h2").textContent;

const list = root.querySelector("[data-list]");
for (const s of sections) {
  const item = document.createElement("li"), a = document.createElement("a"), sign = document.createElement("span"), words = document.createElement("span");
  a.href = "#step-" + s.dataset.step; a.dataset.goto = s.dataset.step; sign.className = "sign"; sign.dataset.sign = "";
  words.textContent = `${sections.indexOf(s) + 1}. ${title(s.dataset.step)}`; a.append(sign, words); item.append(a); list.querySelector("ol").append(item);
  a.addEventListener("click", ev => { ev.preventDefault(); show(s.dataset.step, true); });
}
list.hidden = false;

function draw() {
  let done = 0;
  for (const s of sections) {
    const id = s.dataset.step, is = standing(id), open = !finished(id), waits = open ? waitsOf(s) : [];
    if (!open) done++;
    const here = q.waiting.some(c => c.step === id);
    s.querySelector("[data-mark]").textContent = `${SIGN[is]} ${STANDINGS[is]}${here ? ", on this phone" : ""}`;
    const link = root.querySelector(`[data-goto="${CSS.escape(id)}"]`);
    link.querySelector("[data-sign]").textContent = SIGN[is];
    if (id === current) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
    const note = slot(s, "waiting", "p", "note");
    note.hidden = !waits.length;
    if (waits.length) note.textContent = "Opens after: " + waits.slice(0, 3).map(title).join("; ") + (waits.length > 3 ? `, and ${waits.length - 3} more` : "");
    for (const b of s.querySelectorAll('[data-claim] button[value="done"]')) b.disabled = waits.length > 0;
    news(s, states.get(id), is);
    readBefore(s);
    rival(s, states.get(id), is);
  }
  root.querySelector("[data-count]").textContent = done;
  root.querySelector("progress").value = done;
  line();
}

/* What the book has, and what it has not: waiting, refused, or chosen and not sent. */
function line() {
  const n = q.waiting.length, refused = sections.find(s => states.get(s.dataset.step).refusedHere), kept = sections.filter(s => q.drafted(s.dataset.step));
  const where = s => `${sections.indexOf(s) + 1}. ${title(s.dataset.step)}`;
  let text = q.trouble ? q.why : "✓ All answers are in the book.", good = !q.trouble;
  if (n) [text, good] = [`▲ ${n} answer${n > 1 ? "s wait" : " waits"} on this phone. ${q.trouble ? q.why : "Sending."} Keep this page open.`, false];
  else if (refused) [text, good] = [`! Not taken: ${where(refused)}. Answer it again.`, false];
  else if (kept.length) [text, good] = [`▲ Not sent yet: ${where(kept[0])}. Press Done there.`, false];
  say.textContent = text;
  say.className = good ? "small good" : "small care";
}

/* A place within a step that is made when it is needed. */
function slot(s, name, tag, cls) {
  let at = s.querySelector(`[data-${name}]`);
  if (at) return at;
  at = document.createElement(tag); at.dataset[name] = ""; if (cls) at.className = cls;
  if (name === "news") at.setAttribute("role", "status");
  if (name === "waiting") s.querySelector(".what").before(at); else s.querySelector("form[data-claim]").before(at);
  return at;
}

function news(s, state, is) {
  if (state.asDrawn) return;
  if (!state.problems.length && !state.otherwise.length && !state.notes?.length && !s.querySelector("[data-news]")) return;
  const at = slot(s, "news", "div");
  const lines = state.problems.map(p => ["wrong", "! " + p]);
  for (const n of state.notes || []) lines.push(["note", "? " + n]);
  if (state.otherwise.length && is === "done") lines.push(["finding is-take-care", "▲ not as planned: " + state.otherwise.join(", ") + ". Look under 'Why, and what if not'."]);
  at.replaceChildren(...lines.map(([cls, text]) => { const p = document.createElement("p"); p.className = cls; p.textContent = text; return p; }));
}

function rival(s, state, is) {
  if (state.asDrawn) return;
  if (!state.rival && !s.querySelector("[data-rival]")) return;
  const at = slot(s, "rival", "div");
  if (!state.rival || is !== "two-claims") { at.replaceChildren(); return; }
  if (at.dataset.for === state.client + state.rival.client && at.children.length) return;
  at.dataset.for = state.client + state.rival.client;
  at.replaceChildren(rivals(state, keep => q.claim(s.dataset.step, "settled", {keep})));
}

/* --- figures that follow from another answer: from the tyre's temperature, or from what the gauge read before --- */
function figure(s) {
  const box = s.querySelector("[data-curve]"), at = s.querySelector("[data-figure]"), warm = s.querySelector("[name='a-temperature']");
  if (!box || !at || !warm) return;
  const now = figures.kelvin(warm.value), found = figures.at(JSON.parse(box.dataset.curve), now);
  if (found === null) { at.textContent = now === null ? "The figure follows from the tyre's temperature." : "No figure for a tyre this warm or cold: see that it is cold, or set it outside."; return; }
  const said = /[CFK]\s*$/i.test(warm.value) ? warm.value.trim() : warm.value.trim() + " " + root.dataset.temperature;
  at.textContent = `At ${said}: set ${figures.shown(found)}`;
}
function sameTemperature(from) { /* wheels that lie together have one temperature: what was said at one is offered at the next */
  const said = from.querySelector("[data-curve]") && from.querySelector("[name='a-temperature']").value;
  if (!said) return;
  for (const s of sections) {
    const warm = s !== from && s.querySelector("[data-curve]") && s.querySelector("[name='a-temperature']");
    if (!warm || finished(s.dataset.step) || warm.dataset.own) continue;
    warm.value = said; figure(s);
  }
}
for (const s of sections) if (s.querySelector("[data-curve]")) s.querySelector("[name='a-temperature']").addEventListener("input", ev => { ev.target.dataset.own = "yes"; figure(s); });
function readBefore(s) {
  const box = s.querySelector("[data-beside]"), at = s.querySelector("[data-before]");
  if (!box || !at) return;
  const [id, ask] = box.dataset.beside.split("/"), mine = q.waiting.filter(c => c.step === id && c.kind === "done").pop();
  const found = ((mine ? mine.answers : (states.get(id) || {}).said) || []).find(a => a.ask === ask);
  if (found && found.said) at.textContent = `The gauge read ${found.said}${/^[\d.,\s]+$/.test(found.said) ? " " + root.dataset.pressure : ""} before letting out.`;
}

/* --- one step at a time --- */
function show(id, focus) {
  current = id; other.hidden = true;
  for (const s of sections) s.hidden = s.dataset.step !== id;
  if (over) over.hidden = true;
  if (location.hash !== "#step-" + id) history.replaceState(null, "", "#step-" + id);
  const at = sections.findIndex(s => s.dataset.step === id);
  root.querySelector("[data-back]").disabled = at === 0;
  root.querySelector("[data-on]").disabled = at === sections.length - 1;
  draw(); tick();
  if (focus) { byId.get(id).querySelector("h2").focus({preventScroll: true}); root.querySelector(".sheet-bar").scrollIntoView(); }
}
const nextOpen = from => {
  const ready = s => !finished(s.dataset.step) && !("optional" in s.dataset) && !waitsOf(s).length;
  const at = sections.findIndex(s => s.dataset.step === from);
  return sections.slice(at + 1).find(ready) || sections.find(ready);
};
const over = root.querySelector("[data-over]");
function onward(from) {
  const n = nextOpen(from);
  if (n) { show(n.dataset.step, true); return; }
  if (!over || sections.some(s => !finished(s.dataset.step) && !("optional" in s.dataset))) return;
  byId.get(from).hidden = true; over.hidden = false; over.focus();
}
const step = by => { const at = sections.findIndex(s => s.dataset.step === current) + by; if (sections[at]) show(sections[at].dataset.step, true); };

/* --- clocks for steps that must not, or must, take a time --- */
const clockKey = s => "wheelside-clock-" + JOB + "-" + (s.dataset.timed && !s.dataset.wait ? "group-" + s.dataset.timed : s.dataset.step);
const begun = key => { try { return Number(localStorage.getItem(key)) || 0; } catch { return 0; } };
const begin = key => { try { localStorage.setItem(key, clock().getTime()); } catch { /* private browsing: the clock is left out */ } };
function tick() {
  const s = byId.get(current); if (!s) return;
  const shown = s.querySelector("[data-clock]"), start = s.querySelector("[data-start]"); if (!shown) return;
  const group = sections.filter(o => s.dataset.timed && o.dataset.timed === s.dataset.timed);
  const limit = Number(s.dataset.wait) || Math.max(0, ...group.map(o => Number(o.dataset.allowed || 0)), Number(s.dataset.allowed || 0));
  const from = begun(clockKey(s));
  if (start) start.hidden = from > 0 || !limit;
  shown.hidden = !from || !limit;
  if (from && limit) {
    const left = Math.round(limit - (clock().getTime() - from) / 1000), over = left < 0, t = Math.abs(left);
    shown.textContent = `${over ? (s.dataset.wait ? "done, +" : "over by ") : ""}${Math.floor(t / 60)}:${String(t % 60).padStart(2, "0")}`;
    shown.className = "clock " + (over ? (s.dataset.wait ? "good" : "bad") : "");
  }
}
setInterval(tick, 1000);

/* --- claims --- */
async function onSubmit(ev) {
  ev.preventDefault();
  const form = ev.currentTarget, s = form.closest("[data-step]"), kind = (ev.submitter && ev.submitter.value) || "done";
  const data = new FormData(form), answers = [], missing = [];
  if (kind === "done") for (const box of form.querySelectorAll("[name^='a-'], [data-photo]")) {
    const name = box.dataset.photo || box.name.slice(2);
    if (answers.some(a => a.ask === name)) continue;
    if (box.dataset.photo) { answers.push({ask: name, said: "", words: "", photo: "", file: box.files[0] ? await smaller(box.files[0]) : null}); continue; }
    const said = data.get("n-" + name) === "yes" ? NO_ANSWER : String(data.get("a-" + name) || "").trim();
    answers.push({ask: name, said, words: String(data.get("w-" + name) || "").trim(), photo: ""});
    const label = box.closest("fieldset, .field");
    if (!said && label && !label.querySelector("[data-free]")) missing.push(box);
  }
  if (missing.length) {
    const p = document.createElement("p"); p.className = "wrong"; p.textContent = "! Answer this first, or skip the step with a reason.";
    slot(s, "news", "div").replaceChildren(p); missing[0].focus(); return;
  }
  const clear = form.querySelectorAll("input[type=file]");
  if (kind === "done" && s.dataset.allowed && !begun(clockKey(s))) begin(clockKey(s));
  const ok = await q.claim(s.dataset.step, kind, {answers, instrument: String(data.get("instrument") || "")});
  if (!ok) return;
  clear.forEach(f => { f.value = ""; });
  sameTemperature(s);
  if (await q.taken(s.dataset.step)) onward(s.dataset.step);
}

/* --- skipping a step, or opening it again --- */
const other = root.querySelector("[data-other-form]");
async function onOther(ev) {
  ev.preventDefault();
  const kind = ev.submitter.value, reason = other.elements.reason.value.trim(), id = current;
  if (kind === "skipped" && !reason) { other.elements.reason.setCustomValidity("Say why it is skipped."); other.reportValidity(); return; }
  other.hidden = true;
  if (!kind || !(await q.claim(id, kind, {reason: kind === "skipped" ? reason : ""}))) return;
  other.reset();
  if (kind === "skipped") onward(id);
}
other.addEventListener("submit", onOther);
other.elements.reason.addEventListener("input", () => other.elements.reason.setCustomValidity(""));
for (const a of root.querySelectorAll("section .row > a[href*='/steps/']")) a.addEventListener("click", ev => { ev.preventDefault(); other.hidden = false; other.elements.reason.focus(); });

for (const f of root.querySelectorAll("form[data-claim]")) f.addEventListener("submit", onSubmit);
for (const b of root.querySelectorAll("[data-start]")) b.addEventListener("click", () => { begin(clockKey(b.closest("[data-step]"))); tick(); });
root.querySelector("[data-back]").addEventListener("click", () => step(-1));
root.querySelector("[data-on]").addEventListener("click", () => step(1));
for (const s of sections) q.drafts(s.dataset.step, s.querySelector("form[data-claim]"), line);
sections.forEach(figure);
window.addEventListener("hashchange", () => { const id = location.hash.slice(6); if (byId.has(id) && id !== current) show(id, true); });
if (window.matchMedia("(max-width: 59.99rem)").matches) list.open = false;
root.querySelector("[data-foot]").hidden = false;
root.classList.add("one-at-a-time");
await q.wasRefused();
const wanted = location.hash.slice(6);
const first = byId.has(wanted) ? byId.get(wanted) : nextOpen(null) || sections[0];
show(first.dataset.step, false);
root.dataset.ready = "yes";
q.begin();
})();
