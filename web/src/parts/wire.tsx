// A wire as it looks: base colour, tracer as a stripe, letters beside it.

import type { Colour } from "../api_types";
import { colour_text, ink_of } from "../model/colours";
import { colour_letters } from "../model/document";

export function WirePicture({ base, tracer, width = 34 }: { base?: string | undefined; tracer?: string | undefined; width?: number }) {
  const ink = base ? ink_of(base) : undefined;
  const stripe = tracer ? (ink_of(tracer)?.fill ?? "#ffffff") : ink?.stripe;
  return (
    <svg class="wire-picture" viewBox={`0 0 ${width} 12`} width={width} height="12" aria-hidden="true" focusable="false">
      <rect
        x="0.75"
        y="1.75"
        width={width - 1.5}
        height="8.5"
        rx="3"
        fill={ink?.fill ?? "#ffffff"}
        stroke="#2a2a2a"
        stroke-width="1"
        stroke-dasharray={ink ? "none" : "3 2"}
      />
      {stripe && <path d={`M4 6H${width - 4}`} stroke="#2a2a2a" stroke-width="4" fill="none" />}
      {stripe && <path d={`M4 6H${width - 4}`} stroke={stripe} stroke-width="2.8" fill="none" />}
    </svg>
  );
}

export function Wire({ colour }: { colour?: Colour | undefined }) {
  const letters = colour_letters(colour) || colour?.raw || "";
  if (!letters) return <span class="soft no-colour">colour not known</span>;
  return (
    <span class="wire" title={colour_text(colour?.base, colour?.tracer)}>
      <WirePicture base={colour?.base} tracer={colour?.tracer} />
      <span class="letters">{letters}</span>
    </span>
  );
}
