// Lengths as people type and read them: metres, centimetres, millimetres, feet and inches. The document has millimetres.

import type { LengthUnit } from "../settings";

const mm_per: Record<string, number> = {
  mm: 1,
  cm: 10,
  m: 1000,
  ft: 304.8,
  foot: 304.8,
  feet: 304.8,
  "'": 304.8,
  "′": 304.8,
  in: 25.4,
  inch: 25.4,
  inches: 25.4,
  '"': 25.4,
  "″": 25.4,
};

const unit_of: Record<LengthUnit, number> = { m: 1000, cm: 10, ft: 304.8 };

export const length_unit_sign: Record<LengthUnit, string> = { m: "m", cm: "cm", ft: "ft, in" };

const tidy = (value: number, digits: number): number => Number(value.toFixed(digits));

// Millimetres; null for what is no length. A bare number is in the unit of the settings.
export function length_of(text: string, unit: LengthUnit): number | null {
  const plain = text.trim().toLowerCase().replace(/,/g, ".").replace(/''/g, '"');
  if (/^\d*\.?\d+$/.test(plain)) return tidy(Number(plain) * unit_of[unit], 1);
  const part = /^(\d*\.?\d+)\s*(millimetres?|centimetres?|metres?|meters?|mm|cm|m|feet|foot|ft|inches|inch|in|['"′″])\.?(?:\s+|(?=\d)|$)/;
  let rest = plain;
  let total = 0;
  while (rest !== "") {
    const found = part.exec(rest);
    if (!found) {
      // 4' 2: inches are meant after feet.
      const inches = /^(\d*\.?\d+)$/.exec(rest);
      if (!inches || !/['′]|ft|f/.test(plain)) return null;
      return tidy(total + Number(inches[1]) * 25.4, 1);
    }
    const name = (found[2] ?? "")
      .replace(/^milli.*/, "mm")
      .replace(/^centi.*/, "cm")
      .replace(/^met.*/, "m");
    total += Number(found[1]) * (mm_per[name] ?? 0);
    rest = rest.slice(found[0].length).trim();
  }
  return total > 0 || /^0/.test(plain) ? tidy(total, 1) : null;
}

function feet_text(mm: number): string {
  const inches = Math.round(mm / 25.4);
  const feet = Math.floor(inches / 12);
  const left = inches - feet * 12;
  if (mm < 304.8) return `${tidy(mm / 25.4, 1)} in`;
  return left === 0 ? `${feet} ft` : `${feet} ft ${left} in`;
}

// As it stands under a column head that names the unit: a number, or feet and inches with their own.
export function length_cell(mm: number | undefined, unit: LengthUnit): string {
  if (mm === undefined) return "";
  return unit === "ft" ? feet_text(mm) : String(tidy(mm / unit_of[unit], unit === "m" ? 3 : 1));
}

export const length_text = (mm: number, unit: LengthUnit): string => (unit === "ft" ? feet_text(mm) : `${length_cell(mm, unit)} ${unit}`);
