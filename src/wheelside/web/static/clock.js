/* The phone's clock: the only place that reads it. */
const clock = () => new Date();
export {clock};
/* Seconds since a moment that was kept as milliseconds; beyond any limit where the clock was set back since. */
export const since = then => { const s = (clock().getTime() - then) / 1000; return s < 0 ? Infinity : s; };
