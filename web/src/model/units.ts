// Units by the names that figures of a report carry, as they are written on a meter; figures with their unit.

const signs: Record<string, string> = {
  mm2: "mm²",
  C: "°C",
  ohm: "Ω",
  kohm: "kΩ",
  Mohm: "MΩ",
  uA: "µA",
  uV: "µV",
};

export const sign_of = (unit: string): string => signs[unit] ?? unit;

export function figure(value: number | null, unit: string): string {
  if (value === null) return "no limit";
  // Milliohms are never written as mΩ: it is too easily read as MΩ.
  if (unit === "mohm") return figure(value / 1000, "ohm");
  const size = Math.abs(value);
  const digits = size === 0 || size >= 100 ? 0 : size >= 10 ? 1 : size >= 1 ? 2 : 3;
  return `${Number(value.toFixed(digits))} ${sign_of(unit)}`;
}
