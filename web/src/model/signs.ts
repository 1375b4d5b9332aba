// Units as they stand on a meter and in a catalogue, in words that came from the program.

const signs: readonly (readonly [RegExp, string])[] = [
  [/\bmm2\b/g, "mm²"],
  [/\b([kM]?)ohm\b/g, "$1Ω"],
  [/\buV\b/g, "µV"],
  [/\buA\b/g, "µA"],
  [/(\d) C\b/g, "$1 °C"],
];

// Thousandths of an ohm are no range of a meter: mΩ and MΩ are too easily confused.
const below_one = (_: string, milliohms: string): string => `${Number((Number(milliohms) / 1000).toFixed(3))} Ω`;

export function with_signs(words: string): string {
  const plain = words.replace(/(\d+(?:\.\d+)?) mohm\b/g, below_one);
  return signs.reduce((text, [unit, sign]) => text.replace(unit, sign), plain);
}
