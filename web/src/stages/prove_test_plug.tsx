// Test plugs: a resistor for each wire, whether making them pays, their drawing and what to buy.

import type { ProveReport } from "../api_types";
import { amount } from "../model/proof";

type TestPlug = ProveReport["test_plugs"][number];

const row_height = 26;
const left = 64;
const bus = 250;

// Cavities at the left, each with its resistor (IEC 60617) to the common lead at the right.
function Drawing({ plug }: { plug: TestPlug }) {
  const height = plug.resistors.length * row_height + 34;
  const last = plug.resistors.length * row_height - row_height / 2;
  return (
    <svg class="test-plug" viewBox={`0 0 320 ${height}`} role="img" aria-label={`Test plug for ${plug.text}`}>
      {plug.resistors.map((one, at) => {
        const y = at * row_height + row_height / 2;
        return (
          <g key={one.cavity}>
            <text x={left - 12} y={y + 4} text-anchor="end">
              {one.cavity}
            </text>
            <circle cx={left} cy={y} r="4" />
            <line x1={left + 4} y1={y} x2={left + 30} y2={y} />
            <rect x={left + 30} y={y - 9} width="92" height="18" />
            <text x={left + 76} y={y + 4} text-anchor="middle">
              {amount(one.ohm, "ohm")}
            </text>
            <line x1={left + 122} y1={y} x2={bus} y2={y} />
          </g>
        );
      })}
      <line x1={bus} y1={row_height / 2} x2={bus} y2={last + 20} />
      <text x={bus} y={last + 36} text-anchor="middle">
        clip to the body
      </text>
    </svg>
  );
}

function verdict(report: ProveReport): string {
  const used = report.test_plugs.filter((plug) => plug.used);
  const to_make = (used.length > 0 ? used : report.test_plugs).reduce((sum, plug) => sum + plug.minutes, 0);
  const saved = Math.round(report.test_plugs_save);
  const makes = `${Math.round(to_make)} minutes to make`;
  if (used.length > 0)
    return `It pays: ${makes}, ${saved} minutes of measuring saved. The plan has steps with ${used.map((plug) => plug.text).join(", ")}.`;
  return `It does not pay for this job alone: ${makes}, and less than that saved in measuring. The plan does without.`;
}

export function TestPlugs({ report }: { report: ProveReport }) {
  if (report.test_plugs.length === 0) return null;
  return (
    <details class="sheet" data-test-plugs>
      <summary>
        Test plug with a resistor for each wire: {report.test_plugs.some((plug) => plug.used) ? "pays" : "does not pay here"}
      </summary>
      <p>{verdict(report)}</p>
      <p class="soft">
        In the place of the module, with the battery off, it lets one person tell every wire from its far end: one lead stays on the body.
        Take it out before the battery is joined.
      </p>
      {report.test_plugs.map((plug) => (
        <section key={plug.connector} aria-label={`Test plug for ${plug.text}`}>
          <h3>For {plug.text}</h3>
          <Drawing plug={plug} />
          <ul>
            {plug.parts.map((part) => (
              <li key={part}>{part}</li>
            ))}
          </ul>
        </section>
      ))}
    </details>
  );
}
