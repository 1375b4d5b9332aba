// What is in one cavity: a wire's colours, an empty hole, a large terminal.

import { useEffect, useRef } from "preact/hooks";
import { colour_words, letters } from "../model/colours";
import type { Seen } from "../model/glimpse";
import { WirePicture } from "../parts/wire";

interface SwatchesProps {
  label: string;
  value: string | undefined;
  base?: string | undefined;
  take: (code: string | undefined) => void;
}

function Swatches({ label, value, base, take }: SwatchesProps) {
  const tracer = base !== undefined;
  return (
    <fieldset class="choice">
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
              aria-pressed={code === value}
              aria-label={`${code}, ${colour_words(code, undefined)}`}
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
  at: string;
  seen: Seen | undefined;
  put: (seen: Seen | null) => void;
  done: () => void;
}

function with_tracer(seen: Seen, tracer: string | undefined): Seen {
  const { tracer: _, ...rest } = seen;
  return tracer ? { ...rest, tracer } : rest;
}

export function Looked({ at, seen, put, done }: Props) {
  const [row, column] = at.split(" ");
  const box = useRef<HTMLDivElement>(null);
  useEffect(() => box.current?.scrollIntoView({ block: "nearest" }), []);
  const large = seen?.large ? { large: true } : {};
  return (
    <div class="looked" ref={box} role="group" aria-label={`Row ${row}, column ${column}`}>
      <h3>
        Row {row}, column {column}
      </h3>
      <div class="choice-row">
        <button type="button" aria-pressed={seen?.empty === true} onClick={() => put({ empty: true, ...large })}>
          Empty hole
        </button>
        <button
          type="button"
          aria-pressed={seen?.large === true}
          onClick={() => {
            const { large: was, ...rest } = seen ?? {};
            const next: Seen = was ? rest : { ...rest, large: true };
            put(Object.keys(next).length > 0 ? next : null);
          }}
        >
          Large terminal
        </button>
        <button type="button" disabled={!seen} onClick={() => put(null)}>
          Not looked at
        </button>
        <button type="button" class="first" onClick={done}>
          Done
        </button>
      </div>
      <Swatches label="Wire: main colour" value={seen?.base} take={(base) => put(with_tracer({ ...large, ...(base ? { base } : {}) }, seen?.tracer === base ? undefined : seen?.tracer))} />
      {seen?.base && <Swatches label="Its tracer" value={seen.tracer} base={seen.base} take={(tracer) => put(with_tracer(seen, tracer))} />}
    </div>
  );
}
