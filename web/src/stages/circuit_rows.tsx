// The live drawing of a circuit: chains of parts and wires, each a target that can be tapped.

import type { CardPart, CircuitDesign, Graft } from "../api_types";
import { wire_design } from "../model/circuit_cards";
import { kind_text } from "../model/device_kinds";
import { symbol_path } from "../model/device_symbols";
import { colour_letters, find_wire } from "../model/document";
import { size_text } from "../model/sizes";
import { WirePicture } from "../parts/wire";
import { units } from "../settings";

interface Props {
  graft: Graft;
  rows: readonly (readonly CardPart[])[];
  designs: readonly CircuitDesign[];
  chosen?: string;
  pick?: (part: string) => void; // "wire:ID" or "device:ID"
}

// A row through a relay's contacts shows contacts; one through its coil the coil.
function symbol_kind(part: CardPart): string {
  if (part.part !== "device") return part.part;
  const contacts = part.kind === "relay" && [part.in, part.out].some((one) => one === "30" || one.startsWith("87"));
  return contacts ? "contact_open" : part.kind;
}

function PartSymbol({ part }: { part: CardPart }) {
  return (
    <svg class="part-symbol" viewBox="0 0 48 24" width="64" height="32" aria-hidden="true" focusable="false">
      <path d={symbol_path(symbol_kind(part))} fill="none" stroke="currentColor" stroke-width="1.6" stroke-linejoin="round" />
    </svg>
  );
}

function part_name(part: CardPart): string {
  if (part.part === "open") return "nobody has said";
  return part.name;
}

function PartBox({ part, chosen, pick }: { part: CardPart; chosen: boolean; pick?: ((part: string) => void) | undefined }) {
  const terminals = [part.in, part.out].filter((one) => one !== "" && part.part === "device" && one !== "1" && one !== "2");
  const inside = (
    <>
      <PartSymbol part={part} />
      <span class="part-name">{part_name(part)}</span>
      <span class="soft part-kind">
        {part.part === "device"
          ? kind_text(part.kind)
          : part.part === "feed"
            ? "feed"
            : part.part === "pin"
              ? "module pin"
              : part.part === "plug"
                ? "plug"
                : ""}
        {terminals.length > 0 && ` ${terminals.join(", ")}`}
      </span>
    </>
  );
  const kind = part.new ? "part part-new" : part.part === "open" ? "part part-open" : part.guessed ? "part part-guessed" : "part";
  if (!pick || part.part !== "device") return <span class={kind}>{inside}</span>;
  return (
    <button type="button" class={kind} aria-pressed={chosen} onClick={() => pick(`device:${part.id}`)}>
      {inside}
    </button>
  );
}

function WireBox({ graft, designs, wire, chosen, pick }: Omit<Props, "rows" | "chosen"> & { wire: string; chosen: boolean }) {
  const located = find_wire(graft, wire);
  const design = wire_design(designs, wire);
  const area = located?.wire.area_mm2 ?? design?.smallest_mm2;
  const inside = (
    <>
      <span class="visually-hidden">Wire {located?.wire.signal}</span>
      <WirePicture base={located?.wire.colour?.base} tracer={located?.wire.colour?.tracer} width={44} />
      <span class="wire-figures">
        {colour_letters(located?.wire.colour)} {area !== undefined && area !== null ? size_text(area, units.value) : ""}
      </span>
    </>
  );
  if (!pick || !located) return <span class="part-wire">{inside}</span>;
  return (
    <button type="button" class="part-wire" aria-pressed={chosen} onClick={() => pick(`wire:${wire}`)}>
      {inside}
    </button>
  );
}

export function CircuitRows({ graft, rows, designs, chosen = "", pick }: Props) {
  return (
    <ul class="chain-list">
      {rows.map((row, number) => (
        <li key={number} class="chain">
          {row.map((part, index) => (
            <>
              <PartBox key={`${part.id} ${index}`} part={part} chosen={chosen === `device:${part.id}`} pick={pick} />
              {part.wire !== "" && (
                <WireBox
                  key={`${part.wire} wire`}
                  graft={graft}
                  designs={designs}
                  wire={part.wire}
                  chosen={chosen === `wire:${part.wire}`}
                  {...(pick ? { pick } : {})}
                />
              )}
            </>
          ))}
        </li>
      ))}
    </ul>
  );
}
