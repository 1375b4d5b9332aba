// Insulation classes and cable types as published with the program.

import published from "../../../data/insulation.csv";

export const insulation_names: readonly string[] = published
  .split("\n")
  .slice(1)
  .map((line) => line.split(",")[0] ?? "")
  .filter(Boolean);
