/* Figures that a person types or is shown, in the units of the page. */
export const figuresOf = root => {
  const d = root.dataset;
  const plain = kpa => (kpa / Number(d.kpa)).toFixed(Number(d.digits)).replace(".", d.decimal);
  const kelvin = text => {
    const found = /^\s*([-+−]?\d+(?:[.,]\d+)?)\s*(?:°?\s*([CFK]))?\s*$/i.exec(text);
    if (!found) return null;
    const value = Number(found[1].replace("−", "-").replace(",", ".")), unit = (found[2] || d.temperature.slice(-1)).toUpperCase();
    return unit === "K" ? value : unit === "F" ? (value - 32) / 1.8 + 273.15 : value + 273.15;
  };
  const kpa = text => { /* a pressure as it was typed; null where it can't be read */
    const found = /^\s*(\d+(?:[.,]\d+)?)\s*(bar|psi|kpa)?\s*$/i.exec(text || "");
    if (!found) return null;
    const by = {bar: 100, psi: 6.894757, kpa: 1};
    return Number(found[1].replace(",", ".")) * (found[2] ? by[found[2].toLowerCase()] : Number(d.kpa));
  };
  const at = (curve, now) => { /* the pressure at a temperature, straight between the rows; null beyond them */
    const n = now === null ? -1 : curve.findIndex(([low], i) => i + 1 < curve.length && low <= now && now <= curve[i + 1][0]);
    if (n < 0) return null;
    const [[low, before], [high, after]] = [curve[n], curve[n + 1]];
    return before + (after - before) * (now - low) / (high - low);
  };
  return {plain, shown: kpa => plain(kpa) + " " + d.pressure, kelvin, kpa, at};
};
