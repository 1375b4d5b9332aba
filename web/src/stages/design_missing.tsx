// What the document does not say yet, and without which a circuit is not judged.

import type { CircuitDesign } from "../api_types";

export function MissingFacts({ circuit }: { circuit: CircuitDesign }) {
  if (circuit.missing.length === 0) return null;
  return (
    <ul class="missing-facts" aria-label="Missing">
      {circuit.missing.map((one) => (
        <li key={`${one.fact} ${one.subject}`}>{one.text}</li>
      ))}
    </ul>
  );
}
