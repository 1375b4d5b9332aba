// What is in one cavity: a wire's colours, an empty hole, a large terminal.

import { useEffect, useRef } from "preact/hooks";
import { colour_text, letters } from "../model/colours";
import type { CavityObservation, Position } from "../model/observation";
import { WirePicture } from "../parts/wire";

interface SwatchesProps {
  label: string;
  kind: "base" | "tracer";
  value: string | undefined;
  base?: string | undefined;
  take: (code: string | undefined) => void;
}

function Swatches({ label, kind, value, base, take }: SwatchesProps) {
  const tracer = kind === "tracer";
  return (
    <fieldset class="choice" data-swatches={kind}>
      <legend>{label}</legend>
      <div class="swatches">
        {tracer && (
          <button type="button" aria-pressed={value === undefined} onClick={() => take(undefined)}>
            none
          </button>
        )}
        {letters
          .filter((code) => code !== base)
          .map((code) => (
            <button
              key={code}
              type="button"
              class="swatch"
              data-colour={code}
              aria-pressed={code === value}
              aria-label={`${code}, ${colour_text(code, undefined)}`}
              onClick={() => take(code)}
            >
              <WirePicture base={tracer ? base : code} tracer={tracer ? code : undefined} />
              <span class="letters">{code}</span>
            </button>
          ))}
      </div>
    </fieldset>
  );
}

interface Props {
  at: Position;
  seen: CavityObservation | undefined;
  take: (cavity: CavityObservation) => void;
  done: () => void;
}

export function CavityForm({ at: { row, column }, seen, take, done }: Props) {
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView({ block: "nearest" }), []);
  const { base, tracer, large = false } = seen ?? {};
  const terminal = { row, column, ...(large && { large }) };
  const take_base = (code: string | undefined) =>
    take({ ...terminal, ...(code && { base: code }), ...(code && tracer && tracer !== code && { tracer }) });
  const take_tracer = (code: string | undefined) => take({ ...terminal, ...(base && { base }), ...(code && { tracer: code }) });
  const toggle_large = () => {
    const { large: _, ...rest } = seen ?? { row, column };
    take(large ? rest : { ...rest, large: true });
  };
  return (
    <div class="cavity-form" ref={box} role="group" aria-label={`Row ${row}, column ${column}`}>
      <h3>
        Row {row}, column {column}
      </h3>
      <div class="choice-row">
        <button type="button" aria-pressed={seen?.empty === true} onClick={() => take({ ...terminal, empty: true })}>
          Empty hole
        </button>
        <button type="button" aria-pressed={large} onClick={toggle_large}>
          Large terminal
        </button>
        <button type="button" disabled={!seen} onClick={() => take({ row, column })}>
          Clear
        </button>
        <button type="button" class="primary" onClick={done}>
          Done
        </button>
      </div>
      <Swatches label="Wire: main colour" kind="base" value={base} take={take_base} />
      {base && <Swatches label="Wire: tracer" kind="tracer" value={tracer} base={base} take={take_tracer} />}
    </div>
  );
}
