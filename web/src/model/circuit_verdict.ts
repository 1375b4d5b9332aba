// What the design of a circuit comes to. A circuit with something missing, or with a check that cannot be judged, neither
// passes nor fails.

import type { CircuitDesign } from "../api_types";

export type CircuitVerdict = "passes" | "fails" | "unsure";

export function verdict_of({ checks, missing, passes, judged }: CircuitDesign): CircuitVerdict {
  if (checks.some((check) => check.judged && !check.passes)) return "fails";
  if (missing.length > 0) return "unsure";
  if (!passes) return "fails";
  return judged ? "passes" : "unsure";
}

export const fails_design = (circuit: CircuitDesign): boolean => verdict_of(circuit) === "fails";
