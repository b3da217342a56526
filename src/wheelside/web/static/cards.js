/* The run sheet on the phone: one card a screen, a row a wheel, answers queued on the phone and sent once each. */
import {clock} from "./clock.js";
import {fill, openQueue, rivals} from "./queue.js";
import {figuresOf} from "./figures.js";
import {callsOf} from "./called.js";
import {careOf} from "./care.js";
import {drawCodes, el, rowsOf, textIn, titleOf, unpack} from "./rows.js";

const root = document.querySelector("[data-job]");
if (root && window.indexedDB) (async () => {
const $ = name => root.querySelector(`[data-${name}]`), NO_ANSWER = root.dataset.noAnswer, STANDINGS = JSON.parse(root.dataset.standings);
unpack(root); drawCodes(root);
const cards = [...root.querySelectorAll("[id^=card-]")], steps = [...root.querySelectorAll("[data-step]")];
const byId = new Map(steps.map(s => [s.dataset.step, s])), cardOf = s => s.closest("[id^=card-]"), stepsOf = c => [...c.querySelectorAll("[data-step]")];
const rowOf = s => s.closest(".row-one"), form = s => s.querySelector("form");
cards.forEach((c, n) => { c.dataset.card = c.id.slice(5); for (const key of ["sitting", "sittingName"]) c.dataset[key] = c.dataset[key] || cards[n - 1].dataset[key]; });
let current = null, undo = null, over = false, all = false;
const chosen = new Map();

const q = await openQueue(root, steps.map(s => [s.dataset.step, s.dataset.standing || "open"]), () => draw(), c => fill(form(byId.get(c.step)), c.answers, NO_ANSWER));
const figures = figuresOf(root), calls = callsOf(q, steps, figures, NO_ANSWER), care = careOf(root), rows = rowsOf(root, q, calls, figures, () => draw());

/* --- cards: which count, which step is in hand --- */
const asked = s => calls.isCalled(s) && !("optional" in s.dataset);
const counts = c => stepsOf(c).some(asked);
const counted = () => cards.filter(counts);
const cardDone = c => stepsOf(c).filter(asked).every(s => q.finished(s.dataset.step));
const open = s => !q.finished(s.dataset.step);
const ready = s => asked(s) && open(s) && !calls.waitsOf(s).length;
function inHand(c) {
  const own = stepsOf(c).filter(calls.isCalled), mine = chosen.get(c);
  if (mine && own.includes(mine)) return mine;
  return own.find(s => open(s) && !calls.waitsOf(s).length) || own.find(open) || null;
}
const tagOf = s => rowOf(s).querySelector(".rowhead > .tag")?.textContent || "", cornerOf = s => rowOf(s).querySelector(".corner:not([data-sum])").textContent;
const lower = text => /^[A-Z][a-z]/.test(text) ? text[0].toLowerCase() + text.slice(1) : text;
const named = s => tagOf(s) ? [tagOf(s), cornerOf(s)].filter(Boolean).join(", ") : lower(titleOf(s));

/* --- once: what the page's script makes of it --- */
const full = {}, listOf = clauses => { const list = el("ul"); list.append(...clauses.map(one => el("li", "", one))); return list; };
for (const li of root.querySelectorAll("[data-caution]")) { const at = li.querySelector("span"), code = li.dataset.caution; full[code] = full[code] || at.textContent.split("|"); at.replaceWith(listOf(full[code])); } /* in full wherever it is read */
for (const c of cards) { /* all cards, by their sittings */
  if (!cards[cards.indexOf(c) - 1] || cards[cards.indexOf(c) - 1].dataset.sitting !== c.dataset.sitting) $("list").append(el("h3", "", c.dataset.sittingName), el("ul"));
  const li = el("li"), a = el("a"), no = el("span"), sign = el("b");
  a.href = "#card-" + c.dataset.card; a.dataset.goto = c.dataset.card; no.dataset.no = sign.dataset.sign = "";
  a.append(no, c.querySelector(".title").textContent, sign); li.append(a); $("list").lastChild.append(li);
}
for (const head of root.querySelectorAll("div.rowhead")) {
  const b = el("button", head.className); b.type = "button"; b.dataset.head = ""; b.append(...head.childNodes); head.replaceWith(b);
  b.addEventListener("click", () => { const row = b.parentNode; if (row.classList.contains("sum") && !row.dataset.does) { cardOf(row).classList.add("wide"); draw(); return; } const own = [...row.querySelectorAll("[data-step]")].filter(calls.isCalled); const s = own.find(open) || own.at(-1); chosen.set(cardOf(s), s); draw(); focusIn(s); });
}
for (const c of cards) rows.warm(c);
for (const s of steps) {
  rows.dash(s);
  q.drafts(s.dataset.step, form(s), () => { rows.clear(s); draw(); });
  form(s).addEventListener("submit", ev => ev.preventDefault());
  form(s).addEventListener("keydown", ev => { if (ev.key === "Enter" && ev.target.matches("input")) { ev.preventDefault(); act(); } });
  s.querySelector("[data-skip]").addEventListener("click", ev => { ev.preventDefault(); skipping(s); });
}
const ruler = $("ruler"), cells = new Map();
for (const c of cards) { const i = el("i"); cells.set(c, i); ruler.append(i); }
for (const f of root.querySelectorAll(".side .fold")) if (window.matchMedia("(min-width: 64rem)").matches) f.open = true;

/* --- drawing --- */
function draw() {
  if (!current && !over) return;
  const list = counted(), now = over ? null : current;
  let sitting = "";
  for (const c of cards) {
    const cell = cells.get(c), link = root.querySelector(`[data-goto="${c.dataset.card}"]`), shown = list.includes(c), done = shown && cardDone(c);
    cell.hidden = !shown; cell.className = [done ? "done" : "", c === now ? "now" : "", shown && c.dataset.sitting !== sitting ? "first" : ""].join(" ");
    if (shown) sitting = c.dataset.sitting;
    const can = shown || stepsOf(c).some(s => calls.isCalled(s));
    link.parentNode.hidden = !can;
    link.querySelector("[data-no]").textContent = shown ? list.indexOf(c) + 1 : "";
    link.querySelector("[data-sign]").textContent = stepsOf(c).some(s => q.standing(s.dataset.step) === "two-claims") ? "≠" : stepsOf(c).some(s => q.standing(s.dataset.step) === "to-correct") ? "■" : done ? "✓" : shown ? "" : "if you like";
    if (c === now) link.setAttribute("aria-current", "step"); else link.removeAttribute("aria-current");
  }
  $("count").textContent = steps.filter(s => calls.isCalled(s) && !open(s)).length;
  $("of").textContent = steps.filter(asked).length;
  for (const s of steps) s.querySelector("[data-mark]").textContent = STANDINGS[q.standing(s.dataset.step)] + (q.mine(s.dataset.step) ? ", on this phone" : "");
  place(list); line();
  if (now) drawCard(now);
  pin();
}
function place(list) {
  const at = $("place");
  const name = over ? "" : current.dataset.sittingName, n = over ? list.length : list.indexOf(current) + 1;
  at.replaceChildren(el("b", "", over ? "Done" : name), el("span", "dot", " · "), `${n ? `card ${n} of ${list.length}` : "if you like"}`);
}
/* What the book has, and what it has not: waiting, refused, or chosen and not sent. */
function line() {
  const at = $("line"), n = q.waiting.length, typed = !over && steps.some(s => q.drafted(s.dataset.step) && open(s)), refused = steps.find(s => q.states.get(s.dataset.step).refusedHere);
  let [sign, text, cls] = ["✓ ", "all saved", "good"];
  if (q.trouble === "out" || q.trouble === "full") [sign, text, cls] = ["▲ ", q.trouble === "out" ? "disconnected, kept here" : "not kept: write it down", "care"];
  else if (n && !q.reached) [sign, text, cls] = ["▲ ", `no network, ${n} kept here`, "care"];
  else if (n) [sign, text, cls] = ["▲ ", `sending ${n}`, "care"];
  else if (refused) [sign, text, cls] = ["■ ", "not taken: " + lower(titleOf(refused)), "bad"];
  else if (typed) [sign, text, cls] = ["▲ ", "this answer is not sent", "care"];
  else if (!q.reached) [sign, text, cls] = ["▲ ", "no network", "care"];
  if (at.textContent !== sign + text) at.textContent = sign + text;
  at.className = cls; at.parentNode.classList.toggle("tight", text.length > 12);
  const why = $("trouble"), long = q.trouble === "out" || q.trouble === "full" ? q.why : "";
  why.hidden = !long; if (why.textContent !== long) why.textContent = long;
}
function drawCard(c) {
  const hand = inHand(c), gate = gateOf(c, hand), own = [...c.querySelectorAll(".row-one")].filter(r => [...r.querySelectorAll("[data-step]")].some(calls.isCalled));
  c.hidden = gate.length > 0 || all && narrow();
  $("gate").hidden = !gate.length || all && narrow();
  if (gate.length) drawGate(c, gate, hand);
  drawCare(c);
  for (const r of c.querySelectorAll(".row-one")) r.hidden = !own.includes(r);
  const handRow = hand && rowOf(hand), many = own.length > 5 || !!c.querySelector("[data-warm]");
  const groups = [];
  for (const r of own) { const g = groups.at(-1); if (g && g[0].dataset.row === r.dataset.row) g.push(r); else groups.push([r]); }
  const past = many && !c.classList.contains("wide") ? groups.flat().slice(0, hand ? own.indexOf(handRow) : own.length) : [], group = groups.find(g => g.includes(handRow)) || [];
  const keep = c.querySelector("[data-warm]") ? 0 : 1, before = past.filter((r, n) => !group.includes(r) || n < past.length - keep); /* of many rows the last one that was done stays in sight */
  if (before.length < 2) before.length = 0;
  for (const g of groups) g.splice(0, g.length, ...g.filter(r => !before.includes(r)));
  before.forEach((r, n) => drawRow(r, null, n ? "away" : "sum", before, "Done before"));
  for (const g of groups.filter(g => g.length)) {
    const shut = many && g.length > 1 && !g.includes(handRow);
    g.forEach((r, n) => drawRow(r, r === handRow ? hand : null, shut ? (n ? "away" : "sum") : "", g, r.dataset.does));
  }
  for (const r of own) r.querySelector("[data-head]").classList.toggle("short", r.querySelector(".found").textContent.length < 3); /* a sign alone takes no line */
  for (const s of stepsOf(c)) { s.hidden = s !== hand; if (s === hand) drawStep(s); }
  rows.tick(c, hand, steps);
}
function drawRow(r, hand, how, group, name) {
  const own = [...r.querySelectorAll("[data-step]")].filter(calls.isCalled), done = own.every(s => !open(s)), found = r.querySelector(".found");
  r.classList.toggle("in-hand", !!hand); r.classList.toggle("done", done); r.hidden = how === "away";
  r.classList.toggle("sum", how === "sum");
  const b = r.querySelector("[data-head]");
  if (hand) b.setAttribute("aria-current", "step"); else b.removeAttribute("aria-current");
  let sum = b.querySelector("[data-sum]");
  if (how === "sum" && !sum) { sum = el("span", "corner"); sum.dataset.sum = ""; b.prepend(sum); }
  if (sum) sum.hidden = how !== "sum";
  const tags = group.map(o => o.querySelector(".rowhead > .tag")?.textContent);
  if (how === "sum") sum.textContent = name + ": " + (tags.every((one, n) => one && tags.indexOf(one) === n) ? tags.join(", ") : `${group.length} of ${r.parentNode.children.length}`);
  for (const e of b.querySelectorAll(".tag, .corner:not([data-sum])")) e.hidden = how === "sum";
  for (const s of own) rows.before(s);
  const shown = hand || own[0], figure = shown.dataset.figure;
  found.classList.toggle("figure", !!hand && !!figure && !hand.dataset.nofigure); found.classList.toggle("id", !!found.dataset.target && /^[0-9A-F]{3,4}( [0-9A-F]{3,4})+$/.test(found.dataset.target));
  if (how === "sum") { const every = group.every(o => [...o.querySelectorAll("[data-step]")].filter(calls.isCalled).every(s => !open(s))); found.textContent = every ? "✓" : ""; return; }
  if (hand) { found.replaceChildren(); if (figure && !hand.dataset.nofigure) found.append(figure, el("small", "", root.dataset.pressure)); return; }
  const some = own.map(rows.found).filter(Boolean);
  found.textContent = done || some.length ? some.join(" ").replace(/✓ (?=.*✓)/g, "") : figure ? "set " + figure : found.dataset.target;
  found.classList.toggle("good", done && !/[▲■!≠]/.test(found.textContent));
}
function drawStep(s) {
  const now = rows.here(s), tap = rows.oneTap(s), waits = open(s) ? calls.waitsOf(s) : [];
  for (const ask of rows.asksOf(s)) ask.hidden = !rows.isAsked(s, ask, now);
  s.classList.toggle("tap", !!s.dataset.tap); s.classList.toggle("aside", !!s.dataset.tap && !tap);
  for (const ask of s.querySelectorAll("[data-kind=id]")) ask.classList.toggle("other", [...ask.querySelectorAll("input[type=radio]:checked")].some(r => r.value === "other"));
  const note = slot(s, "waiting", "note");
  note.hidden = !waits.length;
  if (waits.length) note.textContent = "Opens after: " + waits.slice(0, 3).map(w => lower(titleOf(w))).join("; ") + (waits.length > 3 ? `, and ${waits.length - 3} more` : "") + ".";
  const none = slot(s, "none", "care-text");
  none.hidden = !s.dataset.nofigure; none.textContent = s.dataset.nofigure || "";
  news(s);
}
function slot(s, name, cls) {
  let at = s.querySelector(`[data-${name}]`);
  if (!at) { at = el("div", cls); at.dataset[name] = ""; at.setAttribute("role", "status"); form(s).before(at); }
  return at;
}
function news(s) {
  const state = q.states.get(s.dataset.step), is = q.standing(s.dataset.step), at = slot(s, "news", "news"), lines = [];
  if (state.asDrawn && !q.mine(s.dataset.step)) return;
  if (is === "to-correct" && !s.querySelector(".wrong")) for (const p of state.problems) lines.push(["wrong", "■ " + p]);
  for (const n of state.notes || []) lines.push(["note", "? " + n]);
  if (state.otherwise.length && is === "done" && !q.mine(s.dataset.step)) lines.push(["care-text", "▲ not as planned: " + state.otherwise.join(", ") + ". Look under 'If not'."]);
  if (at.textContent !== lines.map(l => l[1]).join("")) at.replaceChildren(...lines.map(([cls, text]) => el("p", cls, text)));
  const two = slot(s, "rival", "");
  if (!state.rival || is !== "two-claims") { two.replaceChildren(); delete two.dataset.for; return; }
  if (two.dataset.for === state.client + state.rival.client) return;
  two.dataset.for = state.client + state.rival.client;
  two.replaceChildren(rivals(state, keep => q.claim(s.dataset.step, "settled", {keep})));
}

/* --- cautions before the act --- */
const below = () => { const last = $("gate-list").lastElementChild; return narrow() && last && !$("gate").hidden ? Math.round(last.getBoundingClientRect().bottom - $("pin").getBoundingClientRect().top) : 0; }; /* what of it is still out of sight */
window.addEventListener("scroll", () => { if (!$("gate").hidden) pin(); }, {passive: true});
const gateOf = (c, hand) => hand && open(hand) ? care.wanted(c.dataset.sitting, stepsOf(c).filter(s => calls.isCalled(s) && open(s)), hand) : [];
function drawGate(c, codes, hand) {
  const list = $("gate-list"), key = codes.join(" ");
  if (list.dataset.for === c.dataset.card + key) return;
  list.dataset.for = c.dataset.card + key;
  const said = new Set(), items = [...c.querySelectorAll("[data-caution]")].filter(li => codes.includes(li.dataset.caution)).map(li => {
    const item = el("li"), clauses = full[li.dataset.caution].filter(one => !said.has(one) && said.add(one)); /* what two of them say stands once */
    item.append(el("b", "", li.querySelector("b").textContent), listOf(clauses));
    return item;
  });
  list.replaceChildren(...items);
  const each = (hand.dataset.each || "").split(" ").some(one => codes.includes(one));
  $("gate-line").textContent = each ? `Each time, before: ${lower(titleOf(hand))}` : `Once a sitting, before: ${lower(c.querySelector(".title").textContent)}`;
}
for (const box of root.querySelectorAll("div.care")) { /* once read: the few words of each on one line, all of it behind */
  const fold = el("details", "care");
  box.replaceWith(fold); fold.append(el("summary"), box); box.className = "";
}
function drawCare(c) {
  const codes = new Set(stepsOf(c).filter(calls.isCalled).flatMap(s => [s.dataset.care || "", s.dataset.each || ""].join(" ").split(" "))), said = [];
  for (const li of c.querySelectorAll("[data-caution]")) { li.hidden = !codes.has(li.dataset.caution); if (!li.hidden) said.push(...li.querySelector("b").textContent.split("; ")); }
  const head = c.querySelector(".care > summary"), text = "▲ " + said.slice(0, 3).map((one, n) => n ? lower(one) : one).join(" · ");
  if (head && head.textContent !== text) head.textContent = text;
}

for (const c of cards) drawCare(c);

/* --- the pinned action --- */
const act$ = $("act");
function label() {
  if (over) return "Finish, and make the proof";
  const s = inHand(current);
  if (gateOf(current, s).length) return below() > 0 ? "Read on ↓" : "I have read this: go on";
  if (!s) return "On to the next card";
  const tap = open(s) && rows.oneTap(s), later = [...rowOf(s).querySelectorAll("[data-step]")].filter(o => calls.isCalled(o) && open(o) && o !== s).length;
  if (!open(s)) return "Send again: " + named(s);
  if (tap === "shown") { const d = s.querySelector("[data-wanted]").dataset; return `It showed ${d.wanted.slice(-Number(d.tail))}: next`; }
  if (tap === "yes") return "Yes: " + lower(s.querySelector("[data-expect=yes] legend").textContent);
  return "Done: " + (later ? lower(titleOf(s)) : named(s));
}
function pin() {
  const s = over ? null : inHand(current), gate = !over && gateOf(current, s).length > 0, text = label();
  if (act$.textContent !== text) act$.textContent = text;
  act$.classList.toggle("gate", gate); act$.classList.toggle("long", text.length > 25);
  act$.disabled = !over && !gate && !!s && open(s) && calls.waitsOf(s).length > 0;
  act$.hidden = all && narrow();
  const list = order(), at = list.indexOf(current);
  $("back").disabled = !over && !all && at <= 0; $("on").disabled = over || all || at >= list.length - 1 && !finishable();
  $("cards").textContent = all && narrow() ? "Back to the card" : "All cards";
  $("cards").setAttribute("aria-expanded", all);
  for (const c of cards) if (c !== current || over) c.hidden = true;
  $("over").hidden = !over || all && narrow();
  if (over) $("gate").hidden = true;
}
const finishable = () => steps.every(s => !asked(s) || !open(s));
const order = () => cards.filter(c => counts(c) || c === current);
const narrow = () => !window.matchMedia("(min-width: 64rem)").matches;

async function act() {
  if (over) { location.href = `/jobs/${root.dataset.job}/finish`; return; }
  const c = current, s = inHand(c), gate = gateOf(c, s);
  if (gate.length && below() > 0) { window.scrollBy(0, Math.min(below(), innerHeight * .6)); pin(); return; }
  if (gate.length) { care.confirm(c.dataset.sitting, gate, s); draw(); head(c); return; }
  if (!s) { onward(c, null); return; }
  if (act$.disabled) return;
  if (rows.oneTap(s) && open(s)) rows.asPlanned(s);
  act$.disabled = true;
  const {answers, why, instrument} = await rows.gather(s);
  act$.disabled = false;
  if (Object.keys(why).length) { rows.refuse(s, why); return; }
  rows.clear(s);
  if (!(await q.claim(s.dataset.step, "done", {answers, instrument}))) return;
  for (const f of s.querySelectorAll("input[type=file]")) f.value = "";
  care.acted(c.dataset.sitting, s); rows.started(s);
  if (!(await q.taken(s.dataset.step))) {
    const state = q.states.get(s.dataset.step);
    chosen.set(c, s); draw();
    rows.refuse(s, Object.keys(state.refused || {}).length ? state.refused : {"": state.problems[0] || "Answer again."});
    return;
  }
  offerUndo(s);
  if (current === c && !all) onward(c, s); /* whoever walked on meanwhile is left where they are */
}

/* --- on to what comes next --- */
function next(s) {
  const at = s ? steps.indexOf(s) : -1;
  const called = steps.find(o => "rare" in o.dataset && ready(o)); /* what an answer has called for comes first */
  return called || steps.slice(at + 1).find(ready) || steps.find(ready);
}
function onward(c, s) {
  chosen.delete(c);
  const n = next(s || stepsOf(c).at(-1));
  if (n) { if (cardOf(n) === c && current === c) { draw(); focusIn(n); } else show(cardOf(n), true); return; }
  if (finishable()) { end(); return; }
  const left = steps.find(o => asked(o) && open(o)); /* it waits for something that is to be put right */
  if (left && cardOf(left) !== c) show(cardOf(left), true); else draw();
}
function end() { over = true; all = false; root.classList.remove("all"); draw(); window.scrollTo(0, 0); $("over").focus({preventScroll: true}); }
function show(c, focus, step) {
  over = false; all = false; root.classList.remove("all"); current = c; other.hidden = true;
  if (step) chosen.set(c, step);
  const hash = "#card-" + c.dataset.card;
  if (location.hash !== hash) history.replaceState(null, "", hash);
  draw(); window.scrollTo(0, 0); pin();
  if (focus) head(c);
}
function head(c) { const gate = !$("gate").hidden; window.scrollTo(0, 0); (gate ? $("gate") : c).querySelector(".title").focus({preventScroll: true}); pin(); }
function focusIn(s) { /* the first figure that is wanted, else the row itself; in sight between ruler and action */
  const box = rows.asksOf(s).filter(a => !a.hidden && !a.closest("details")).map(textIn).find(b => b && b.offsetParent && !b.value);
  (box || rowOf(s).querySelector("[data-head]")).focus({preventScroll: true});
  window.scrollTo(0, 0); see(rowOf(s));
}
function see(e) {
  const r = {top: e.getBoundingClientRect().top, bottom: (e.querySelector(".step:not([hidden]) .asks") || e).getBoundingClientRect().bottom + 8}, top = $("top").getBoundingClientRect().bottom, bottom = narrow() ? $("pin").getBoundingClientRect().top : innerHeight;
  if (r.bottom > bottom || r.top < top) window.scrollBy(0, r.bottom - r.top > bottom - top || r.top < top ? r.top - top : r.bottom - bottom);
}

/* --- ten seconds to take it back --- */
const clockSeconds = () => clock().getTime() / 1000;
function offerUndo(s) { undo = {step: s, until: clockSeconds() + 10}; drawUndo(); }
function drawUndo() {
  const left = undo ? Math.ceil(undo.until - clockSeconds()) : 0;
  if (left <= 0 || left > 10) undo = null;
  $("undo").hidden = !undo;
  if (!undo) return;
  const name = tagOf(undo.step) || cornerOf(undo.step);
  if ($("undo-said").textContent !== name + " saved") $("undo-said").replaceChildren(el("span", "", name), " saved");
  $("undo-tap").textContent = `Undo · ${left} s`;
  const ticks = $("undo-ticks"); while (ticks.children.length < 10) ticks.append(el("i"));
  [...ticks.children].forEach((i, n) => { i.hidden = n >= left; });
}
$("undo-tap").addEventListener("click", async () => {
  const s = undo?.step; undo = null; drawUndo();
  if (!s || !(await q.claim(s.dataset.step, "reopened", {}))) return;
  show(cardOf(s), false, s); focusIn(s);
});

/* --- skipping a step, or opening it again --- */
const other = $("other-form");
let otherStep = null;
function skipping(s) { otherStep = s; other.hidden = false; $("other-title").textContent = titleOf(s); rowOf(s).after(other); other.elements.reason.focus(); see(other); }
other.addEventListener("submit", async ev => {
  ev.preventDefault();
  const kind = ev.submitter.value, reason = other.elements.reason.value.trim(), s = otherStep;
  if (kind === "skipped" && !reason) { other.elements.reason.setCustomValidity("Say why it is skipped."); other.reportValidity(); return; }
  other.hidden = true;
  if (!kind || !(await q.claim(s.dataset.step, kind, {reason: kind === "skipped" ? reason : ""}))) return;
  other.reset();
  if (kind === "skipped") { offerUndo(s); onward(cardOf(s), s); } else { chosen.set(cardOf(s), s); draw(); }
});
other.elements.reason.addEventListener("input", () => other.elements.reason.setCustomValidity(""));

/* --- walking about --- */
function showAll(on) { all = on; root.classList.toggle("all", on); draw(); window.scrollTo(0, 0); if (on) root.querySelector("[data-goto][aria-current], [data-goto]").focus({preventScroll: true}); else if (!over) head(current); }
act$.addEventListener("click", act);
$("cards").addEventListener("click", () => showAll(!all));
$("back").addEventListener("click", () => { if (all) { showAll(false); return; } const list = order(); if (over) { show(list.at(-1), true); return; } show(list[list.indexOf(current) - 1] || current, true); });
$("on").addEventListener("click", () => { const list = order(), n = list[list.indexOf(current) + 1]; if (n) show(n, true); else if (finishable()) end(); });
for (const a of root.querySelectorAll("[data-goto]")) a.addEventListener("click", ev => { ev.preventDefault(); show(cards.find(c => c.dataset.card === a.dataset.goto), true); });
function at() { /* where the address leads: a card, or a step on it */
  const [, kind, name] = /^#(card|step)-(.+)$/.exec(decodeURIComponent(location.hash)) || [];
  if (kind === "card") return [cards.find(c => c.dataset.card === name)];
  const s = kind === "step" && byId.get(name);
  return s ? [cardOf(s), s] : [];
}
window.addEventListener("hashchange", () => { const [c, s] = at(); if (c && (s || c !== current)) show(c, true, s); });

await q.wasRefused();
document.body.classList.add("on-cards");
$("top").hidden = $("pin").hidden = false;
const [there, step] = at(), first = next(null);
if (!there && !first && finishable()) end(); else show(there || (first ? cardOf(first) : counted()[0] || cards[0]), false, step);
root.dataset.ready = "yes";
setInterval(() => { if (!over && current) { const hand = inHand(current); if (gateOf(current, hand).length && $("gate").hidden) draw(); rows.tick(current, hand, steps); } drawUndo(); }, 1000);
q.begin();
})();
