// Amounts as hands type them, counted in whole minor units so that no binary fraction comes in.
export function units(text, places) {
  const plain = text.replace(/[\s\u202f\u00a0’']/g, "");
  const found = /^(-?)(\d{1,3}(?:,\d{3})+|\d{1,12})(?:\.(\d*))?$/.exec(plain);
  if (!found || (found[3] || "").length > places) return null;
  const whole = Number(found[2].replace(/,/g, "")) * 10 ** places + Number((found[3] || "").padEnd(places, "0") || 0);
  return found[1] ? -whole : whole;
}

export function written(units, places) {
  const digits = String(Math.abs(units)).padStart(places + 1, "0");
  const whole = digits.slice(0, digits.length - places).replace(/\B(?=(\d{3})+$)/g, ",");
  return (units < 0 ? "−" : "") + whole + (places ? "." + digits.slice(-places) : "");
}
