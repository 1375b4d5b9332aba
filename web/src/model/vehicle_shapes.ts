// The vehicle shapes whose usual places and distances the program knows (data/vehicle_places.csv).

import published from "../../../data/vehicle_places.csv";

export const vehicle_shapes: readonly string[] = [
  ...new Set(
    published
      .trim()
      .split("\n")
      .slice(1)
      .map((line) => line.split(",")[0] ?? ""),
  ),
];
