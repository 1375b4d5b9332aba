// The faces of the vehicle's plugs with every verdict. The side is in words, on the drawing and above it.

import { useEffect, useState } from "preact/hooks";
import type { Circuit, Connector } from "../api_types";
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
  const query = new URLSearchParams({ side, ...(narrow() && !black_ink.value ? { width: "90" } : side === "both" ? {} : { width: "118" }), ...extra });
  return `/drawings/face/${encodeURIComponent(connector)}?${query.toString()}`;
}

const compared_face = (plug: Connector, side: Side, donor: string) => face_path(plug.id, side, donor ? { compare: donor } : {});

// The face that is seen first, drawn while the loom is compared.
export function fetch_first_face(plugs: Connector[], donor: string): void {
  if (plugs[0]) fetch_ahead(compared_face(plugs[0], first_side, donor));
}

interface Props {
  plugs: Connector[];
  donor: string;
  at: string;
  chosen: Circuit[];
  pick: (place: string) => void;
}

// Cavities of this plug that the chosen circuits touch: where each is and where it goes.
function lit_in(plug: string, chosen: Circuit[], at: string): string[] {
  const places = chosen.flatMap((circuit) => [circuit.found, circuit.donor]);
  const lit = places.flatMap((place) => (place && place.connector === plug ? [place.cavity] : []));
  if (lit.length === 0 && at.startsWith(`${plug}-`)) lit.push(at.slice(plug.length + 1));
  return lit;
}

// On paper: every plug, both sides.
function PrintedFaces({ plugs, donor }: { plugs: Connector[]; donor: string }) {
  return (
    <section class="sheet face" aria-label="Plug faces">
      {plugs.map((plug) => (
        <Drawing
          key={plug.id}
          path={compared_face(plug, "both", donor)}
          label={`Faces of ${connector_name(plug)}`}
          part="data-cavity"
        />
      ))}
    </section>
  );
}

export function Faces({ plugs, donor, at, chosen, pick }: Props) {
  const [open, set_open] = useState(plugs[0]?.id ?? "");
  const [side, set_side] = useState<Side>(first_side);
  useEffect(() => {
    const name = at.slice(0, Math.max(0, at.lastIndexOf("-")));
    const plug = plugs.find((one) => connector_name(one) === name);
    if (plug) set_open(plug.id);
  }, [at]);
  const plug = plugs.find((one) => one.id === open) ?? plugs[0];
  if (!plug) return null;
  if (black_ink.value) return <PrintedFaces plugs={plugs} donor={donor} />;
  const name = connector_name(plug);
  return (
    <section class="sheet face" aria-label="Plug faces">
      <h2>The plug {name}</h2>
      <div class="stack no-print">
        <Choice label="Plug" value={plug.id} choices={plugs.map((one) => [one.id, connector_name(one)] as const)} take={set_open} />
        <Choice label="Seen from" value={side} choices={sides} take={set_side} />
      </div>
      <Drawing
        path={compared_face(plug, side, donor)}
        label={`Face of ${name}`}
        part="data-cavity"
        lit={lit_in(name, chosen, at)}
        pick={(cavity) => pick(`${name}-${cavity}`)}
      />
    </section>
  );
}
