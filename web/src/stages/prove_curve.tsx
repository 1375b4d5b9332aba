// The odds of a mistake still unseen against minutes of the plan: a falling stair, with a line at the time at hand.

import type { ProveReport } from "../api_types";
import { after_all, percent, power_from, within } from "../model/plan_time";

const left = 44;
const right = 8;
const top = 10;
const bottom = 26;
const width = 360;
const height = 170;

export function PlanCurve({ report, minutes }: { report: ProveReport; minutes: number }) {
  const end = Math.max(1, after_all(report).minutes);
  const x = (at: number) => left + ((width - left - right) * Math.min(at, end)) / end;
  const y = (share: number) => top + (height - top - bottom) * (1 - share);
  const stair = (share: "unproved" | "harmful") =>
    report.curve.map((point, index) => (index === 0 ? `M${x(0)} ${y(point[share])}` : `H${x(point.minutes)}V${y(point[share])}`)).join("");
  const power = power_from(report);
  const here = within(report, minutes);
  const label =
    `Odds of a mistake still unseen against minutes: after ${Math.round(minutes)} minutes ${percent(here.unproved)}, ` +
    `after all ${Math.round(end)} minutes ${percent(after_all(report).unproved)}.`;
  const every = end > 240 ? 60 : 30;
  const marks = Array.from({ length: Math.floor(end / every) + 1 }, (_, index) => index * every);
  return (
    <svg class="plan-curve" viewBox={`0 0 ${width} ${height}`} role="img" aria-label={label}>
      {power < end && <rect class="curve-power" x={x(power)} y={top} width={x(end) - x(power)} height={y(0) - top} />}
      {[0, 0.5, 1].map((share) => (
        <g key={share}>
          <line class="curve-grid" x1={left} x2={width - right} y1={y(share)} y2={y(share)} />
          <text x={left - 6} y={y(share) + 4} text-anchor="end">
            {100 * share} %
          </text>
        </g>
      ))}
      {marks.map((at) => (
        <text key={at} x={x(at)} y={height - 8} text-anchor="middle">
          {at}
        </text>
      ))}
      {power < end && (
        <text x={x(power) + 4} y={top + 12}>
          with power
        </text>
      )}
      <path class="curve-harmful" d={stair("harmful")} />
      <path class="curve-all" d={stair("unproved")} />
      <line class="curve-here" x1={x(minutes)} x2={x(minutes)} y1={top} y2={y(0)} />
    </svg>
  );
}
