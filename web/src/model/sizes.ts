// Wire sizes as people buy them: stock sizes in mm2, or AWG.

import published from "../../../data/wire_sizes.csv";
import type { Units } from "../settings";

export interface Size {
  name: string;
  area_mm2: number;
}

// ASTM B258: d = 0.127 mm * 92^((36 - n) / 39); -1, -2, -3 stand for 2/0 to 4/0.
function awg_area(gauge: number): number {
  const diameter = 0.127 * 92 ** ((36 - gauge) / 39);
  return (Math.PI / 4) * diameter * diameter;
}

const awg_name = (gauge: number) => (gauge < 0 ? `AWG ${1 - gauge}/0` : gauge === 0 ? "AWG 1/0" : `AWG ${gauge}`);

function rows(system: string): string[] {
  return published
    .split("\n")
    .map((line) => line.split(","))
    .filter((cells) => cells[0] === system)
    .map((cells) => cells[1] ?? "");
}

export const metric_sizes: Size[] = rows("metric").map((size) => ({ name: `${size} mm²`, area_mm2: Number(size) }));
export const awg_sizes: Size[] = rows("awg").map((size) => ({
  name: awg_name(Number(size)),
  area_mm2: Math.round(awg_area(Number(size)) * 1000) / 1000,
}));

export const sizes_in = (units: Units): Size[] => (units === "awg" ? awg_sizes : metric_sizes);

function nearest_awg(area: number): Size | undefined {
  const off = (size: Size) => Math.abs(Math.log(size.area_mm2 / area));
  return [...awg_sizes].sort((a, b) => off(a) - off(b))[0];
}

export function size_text(area: number | null | undefined, units: Units): string {
  if (area === null || area === undefined || area <= 0) return "not stated";
  if (units === "metric") return `${area} mm²`;
  const size = nearest_awg(area);
  const exact = size && Math.abs(size.area_mm2 / area - 1) < 0.02;
  return size ? `${exact ? "" : "about "}${size.name}` : `${area} mm²`;
}

const gauge_of = (text: string): number | null => {
  const word = text.replace(/awg|ga\b|gauge|#/g, "").trim();
  const aught = /^(\d)\/0$/.exec(word);
  if (aught) return 1 - Number(aught[1]);
  return /^\d{1,2}$/.test(word) ? Number(word) : null;
};

// The area of a size as people type it: "0.75", "0,75 mm2", "AWG 18", "2/0". A bare number is in the unit of the settings.
export function size_of(text: string, units: Units): number | null {
  const plain = text
    .trim()
    .toLowerCase()
    .replace(/^about\s+/, "");
  const metric = /^(\d*[.,]?\d+)\s*(mm2|mm²|mm\^2|sq\.?\s*mm|qmm|mm|²)?$/.exec(plain);
  const aught = /^\d\/0$/.test(plain);
  if (metric && (metric[2] || units === "metric")) {
    const area = Number(metric[1]?.replace(",", "."));
    return area > 0 ? area : null;
  }
  if (!/awg|ga\b|gauge|#/.test(plain) && !aught && units === "metric") return null;
  const gauge = gauge_of(plain);
  return gauge !== null && gauge >= -3 && gauge <= 40 ? Math.round(awg_area(gauge) * 1000) / 1000 : null;
}

// As it stands under a column head that names the unit: a plain number of mm², or the AWG size with its name.
export const size_cell = (area: number | undefined, units: Units): string =>
  area === undefined ? "" : units === "metric" ? String(area) : size_text(area, units);
