// The faces of the vehicle's plugs with every verdict. The side is written on the drawing and above it.

import { useEffect, useState } from "preact/hooks";
import type { CavityRef, Circuit, Connector } from "../api_types";
import { connector_name } from "../model/document";
import { Drawing, fetch_ahead } from "../parts/drawing";
import { Choice } from "../parts/field";
import { black_ink } from "../parts/print";

export type Side = "wire_entry" | "mating" | "both";

export const sides: readonly (readonly [Side, string])[] = [
  ["wire_entry", "wire-entry side"],
  ["mating", "mating side"],
  ["both", "both"],
];

const first_side: Side = "wire_entry";

export const narrow = () => window.matchMedia("(max-width: 700px)").matches;

export function face_path(connector: string, side: Side, extra: Record<string, string> = {}): string {
  const query = new URLSearchParams({ side });
  if (narrow() && !black_ink.value) query.set("width", "90");
  else if (side !== "both") query.set("width", "118");
  for (const [name, value] of Object.entries(extra)) query.set(name, value);
  return `/drawings/face/${encodeURIComponent(connector)}?${query.toString()}`;
}

const compared_face = (plug: Connector, side: Side, donor: string) => face_path(plug.id, side, donor ? { compare: donor } : {});

// Fetches the face that is seen first while the comparison is computed.
export function fetch_first_face(plugs: Connector[], donor: string): void {
  if (plugs[0]) fetch_ahead(compared_face(plugs[0], first_side, donor));
}

// Cavities of this plug that the chosen circuits touch: where each is and where it goes.
function highlighted_in(plug: string, chosen: Circuit[], at: CavityRef): string[] {
  const ends = chosen.flatMap((circuit) => [circuit.found, circuit.donor]);
  const cavities = ends.flatMap((end) => (end?.connector === plug ? [end.cavity] : []));
  return cavities.length === 0 && at.connector === plug ? [at.cavity] : cavities;
}

// On paper: every plug, both sides.
function PrintedFaces({ plugs, donor }: { plugs: Connector[]; donor: string }) {
  return (
    <section class="sheet face" aria-label="Plug faces">
      {plugs.map((plug) => (
        <Drawing key={plug.id} path={compared_face(plug, "both", donor)} label={`Faces of ${connector_name(plug)}`} part="data-cavity" />
      ))}
    </section>
  );
}

interface Props {
  plugs: Connector[];
  donor: string;
  at: CavityRef;
  chosen: Circuit[];
  pick: (cavity: CavityRef) => void;
}

export function Faces({ plugs, donor, at, chosen, pick }: Props) {
  const [open, set_open] = useState(plugs[0]?.id ?? "");
  const [side, set_side] = useState<Side>(first_side);
  useEffect(() => {
    const plug = plugs.find((one) => connector_name(one) === at.connector);
    if (plug) set_open(plug.id);
  }, [at.connector, at.cavity]);
  const plug = plugs.find((one) => one.id === open) ?? plugs[0];
  if (!plug) return null;
  if (black_ink.value) return <PrintedFaces plugs={plugs} donor={donor} />;
  const name = connector_name(plug);
  return (
    <section class="sheet face" aria-label="Plug faces">
      <h2>Plug {name}</h2>
      <div class="stack no-print">
        <Choice label="Plug" value={plug.id} choices={plugs.map((one) => [one.id, connector_name(one)] as const)} take={set_open} />
        <Choice label="Seen from" value={side} choices={sides} take={set_side} />
      </div>
      <Drawing
        path={compared_face(plug, side, donor)}
        label={`Face of ${name}`}
        part="data-cavity"
        highlighted={highlighted_in(name, chosen, at)}
        pick={(cavity) => pick({ connector: name, cavity })}
      />
    </section>
  );
}
