// The face of one of the vehicle's plugs with every verdict: which drawing it is, from which side, what is highlighted.

import { useEffect, useState } from "preact/hooks";
import type { CavityRef, Circuit, Connector } from "../api_types";
import { connector_name } from "../model/document";
import { Drawing, fetch_ahead } from "../parts/drawing";
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

// Whole, not cut into parts below each other: for a window that slides over it, or a wide place.
function whole_face_path(connector: string, side: Side, donor: string): string {
  return `/drawings/face/${encodeURIComponent(connector)}?${new URLSearchParams({ side, compare: donor }).toString()}`;
}

// `whole`: see above; else as narrow as the column beside the tabs.
export const compared_face = (plug: Connector, side: Side, donor: string, whole: boolean): string =>
  whole ? whole_face_path(plug.id, side, donor) : face_path(plug.id, side, { compare: donor });

// Fetches the faces while the comparison is computed: which of them is seen first depends on it.
export function fetch_faces(plugs: Connector[], donor: string, whole: boolean): void {
  for (const plug of plugs) fetch_ahead(compared_face(plug, first_side, donor, whole));
}

// Cavities of this plug that the chosen circuits touch: where each is and where it goes.
export function highlighted_in(plug: string, chosen: Circuit[], at: CavityRef): string[] {
  const ends = chosen.flatMap((circuit) => [circuit.found, circuit.donor]);
  const cavities = ends.flatMap((end) => (end?.connector === plug ? [end.cavity] : []));
  return cavities.length === 0 && at.connector === plug ? [at.cavity] : cavities;
}

export interface FaceProps {
  plugs: Connector[];
  donor: string;
  first: string; // the plug to begin with
  at: CavityRef;
  chosen: Circuit[]; // those at this cavity
}

// Which plug is shown from which side. A chosen cavity brings its plug.
export function use_face({ plugs, first, at }: FaceProps) {
  const at_plug = plugs.find((one) => connector_name(one) === at.connector)?.id;
  const [open, set_open] = useState(at_plug ?? first);
  const [side, set_side] = useState<Side>(first_side);
  useEffect(() => {
    if (at_plug) set_open(at_plug);
  }, [at.connector, at.cavity]);
  const plug = plugs.find((one) => one.id === open) ?? plugs[0];
  return { plug, set_open, side, set_side };
}

// On paper: every plug, both sides.
export function PrintedFaces({ plugs, donor }: { plugs: Connector[]; donor: string }) {
  return (
    <section class="sheet face" aria-label="Plug faces">
      {plugs.map((plug) => (
        <Drawing
          key={plug.id}
          path={compared_face(plug, "both", donor, false)}
          label={`Faces of ${connector_name(plug)}`}
          part="data-cavity"
        />
      ))}
    </section>
  );
}
