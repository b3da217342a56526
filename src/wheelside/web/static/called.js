/* What an answer calls for, and what it keeps from opening: as the book works it out, here also while it is away. */
export function callsOf(q, steps, figures, noAnswer) {
  const asks = new Map();
  for (const s of steps) for (const a of s.querySelectorAll("[data-ask]")) asks.set(s.dataset.step + "/" + a.dataset.ask, a);
  const parsed = new Map();
  const read = text => { if (!parsed.has(text)) parsed.set(text, JSON.parse(text)); return parsed.get(text); };

  function told(of) {
    const cut = of.indexOf("/");
    return (q.said(of.slice(0, cut)) || []).find(a => a.ask === of.slice(cut + 1));
  }
  /* Whether an answer is as planned; null where nothing was planned, or only the book can tell. */
  function asPlanned(of, said) {
    const ask = asks.get(of), id = of.slice(0, of.indexOf("/")), state = q.states.get(id);
    if (!ask || !said) return null;
    if (!q.mine(id) && state && state.not_as_planned && (q.said(id) || []).some(a => a.ask === ask.dataset.ask && a.said === said)) return !state.not_as_planned.includes(ask.dataset.ask);
    if (ask.dataset.kind === "done") return said === "yes";
    if (ask.dataset.kind === "pick") return ask.dataset.expect ? [ask.dataset.expect, ...(ask.dataset.also || "").split("|")].includes(said) : null;
    if (ask.dataset.least) { const p = figures.kpa(said); return p === null ? null : p >= Number(ask.dataset.least); }
    return ask.dataset.wanted ? sameId(ask.dataset, said) : null;
  }
  function sameId(wanted, said) {
    if (said === "as-shown") return true;
    if (said === noAnswer) return false;
    const digits = said.replace(/^0x/i, "").replace(/[\s\-:._,/]/g, "").toUpperCase(), tail = Number(wanted.tail);
    if (digits === wanted.wanted || digits.replace(/^0+/, "") === String(parseInt(wanted.wanted, 16)) || (tail && digits.length >= tail && wanted.wanted.endsWith(digits))) return true;
    return /^[0-9A-F]{7,10}$/.test(digits) ? false : null;
  }
  const came = ([of, codes, below, least, otherwise], here) => {
    const answer = here && of in here ? {said: here[of]} : told(of);
    if (!answer || !answer.said) return false;
    const p = below === null ? null : figures.kpa(answer.said);
    return (p !== null && p < below && (least === null || p >= least)) || codes.includes(answer.said) || (!!otherwise && asPlanned(of, answer.said) === false);
  };
  const called = (text, here) => !text || read(text).some(w => came(w, here));
  const isCalled = s => called(s.dataset.calls) || q.standing(s.dataset.step) !== "open";
  const barred = s => q.standing(s.dataset.step) === "done" && [...s.querySelectorAll("[data-bars]")].some(a => {
    const of = s.dataset.step + "/" + a.dataset.ask;
    return asPlanned(of, (told(of) || {}).said) === false;
  });
  const opens = s => (q.finished(s.dataset.step) || !isCalled(s)) && !barred(s);
  const waitsOf = s => {
    const named = (s.dataset.waits || "").split(" "), at = steps.indexOf(s);
    /* What an answer has called for waits only for locks that have opened themselves: else it might never come. */
    const shut = o => s.dataset.calls && steps.some(w => (o.dataset.waits || "").split(" ").includes(w.dataset.step) && !opens(w));
    return steps.filter((o, n) => (named.includes(o.dataset.step) || (n < at && "lock" in o.dataset && !shut(o))) && !opens(o));
  };
  return {asks, told, asPlanned, called, isCalled, barred, waitsOf};
}
