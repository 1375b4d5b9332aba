// The plug alone, as large as the screen allows: its face from either side, and what is in each cavity.

import { useLayoutEffect, useRef, useState } from "preact/hooks";
import type { CavityRef, CompareReport } from "../api_types";
import { connector_name, end_text } from "../model/document";
import { compare_names } from "../model/natural_order";
import { Drawing } from "../parts/drawing";
import { Choice } from "../parts/field";
import { ShowAll, use_shortened } from "../parts/shortened";
import { CircuitRow, cavity_of, is_at, key_of } from "./compare_circuits";
import { compared_face, type FaceProps, highlighted_in, narrow, sides, use_face } from "./compare_face";
import { slide_to } from "./compare_picture";

interface Props extends FaceProps {
  report: CompareReport;
  pick: (cavity: CavityRef) => void;
}

const shown_at_first = 8;
const shown_beside_open = 4;

// A phone has no room for the table beside the face: the cavities follow as rows.
function Cavities({ report, plug, at, pick }: { report: CompareReport; plug: string; at: CavityRef; pick: (cavity: CavityRef) => void }) {
  const list = report.circuits
    .filter((circuit) => cavity_of(circuit).connector === plug)
    .sort((a, b) => compare_names(cavity_of(a).cavity, cavity_of(b).cavity));
  const { shown, rest, show_all } = use_shortened(list, at.connector ? shown_beside_open : shown_at_first, (circuit) => is_at(circuit, at));
  return (
    <section class="sheet circuits" aria-label={`Cavities of ${plug}`}>
      <h2>Cavity by cavity</h2>
      <ul>
        {shown.map((circuit) => (
          <CircuitRow key={key_of(circuit)} circuit={circuit} at={at} pick={pick} />
        ))}
      </ul>
      <ShowAll rest={rest} show_all={show_all} count={list.length} />
    </section>
  );
}

export function PlugTab(props: Props) {
  const { plugs, donor, at, chosen, pick, report } = props;
  const { plug, set_open, side, set_side } = use_face(props);
  const [drawn, set_drawn] = useState(0);
  const slide = useRef<HTMLDivElement>(null);
  useLayoutEffect(() => slide_to(slide.current), [drawn, plug?.id, at.connector, at.cavity]);
  if (!plug) return null;
  const name = connector_name(plug);
  const small = narrow();
  return (
    <div class={chosen.length > 0 && !small ? "compare-columns compare-plug" : "stack"}>
      <section class="sheet stack face plug-alone" aria-label={`Plug ${name}`}>
        <div class="picture-choices no-print">
          <Choice label="Plug" value={plug.id} choices={plugs.map((one) => [one.id, connector_name(one)] as const)} take={set_open} />
          <Choice label="Seen from" value={side} choices={small ? sides.slice(0, 2) : sides} take={set_side} />
        </div>
        <div
          class={small ? "face-slide" : ""}
          ref={slide}
          tabIndex={small ? 0 : undefined}
          role="region"
          aria-label={`Face of plug ${name}`}
        >
          <Drawing
            path={compared_face(plug, side, donor, true)}
            label={`Face of ${name}`}
            part="data-cavity"
            highlighted={highlighted_in(name, chosen, at)}
            pick={(cavity) => pick({ connector: name, cavity })}
            crop={small ? ".cavity" : ""}
            drawn={() => set_drawn((count) => count + 1)}
          />
        </div>
      </section>
      {small && <Cavities report={report} plug={name} at={at} pick={pick} />}
      {!small && chosen.length > 0 && (
        <section class="sheet circuits" aria-label="The chosen cavity">
          <h2>Cavity {end_text(at)}</h2>
          <ul>
            {chosen.map((circuit) => (
              <CircuitRow key={key_of(circuit)} circuit={circuit} at={at} pick={pick} />
            ))}
          </ul>
        </section>
      )}
    </div>
  );
}
