// The vehicle from above: choose its shape, drag places to where they are. Lengths follow the paths between places.

import { useRef, useState } from "preact/hooks";
import type { Graft, Place } from "../api_types";
import { pointer } from "../model/patch";
import { vehicle_shapes } from "../model/vehicle_shapes";
import { change_circuit } from "../net/circuits";
import { change } from "../net/edit";
import { Select } from "../parts/field";

const width = 640;
const height = 240;
const margin = 30;

interface Spot {
  along: number;
  across: number;
}

const x_of = (along: number) => margin + along * (width - 2 * margin);
const y_of = (across: number) => margin + across * (height - 2 * margin);
const share = (value: number) => Math.min(1, Math.max(0, Math.round(value * 100) / 100));

export function ShapeChoice({ graft }: { graft: Graft }) {
  const shape = graft.vehicle?.shape ?? "";
  return (
    <Select
      label="vehicle"
      value={shape}
      choices={[["", "choose its shape …"] as const, ...vehicle_shapes.map((one) => [one, one] as const)]}
      take={(chosen) => void (chosen && change_circuit(`places of a ${chosen}`, { change: "places", shape: chosen }))}
    />
  );
}

function move_place(id: string, name: string, spot: Spot): void {
  void change(`place of ${name} on the plan`, (now) => {
    const index = (now.places ?? []).findIndex((place) => place.id === id);
    if (index < 0) return [];
    const item = pointer("places", index);
    return [
      { op: "test", path: `${item}/id`, value: id },
      { op: "add", path: `${item}/along`, value: spot.along },
      { op: "add", path: `${item}/across`, value: spot.across },
    ];
  });
}

function PlaceMark({ place, spot, drag }: { place: Place; spot: Spot; drag: (event: PointerEvent) => void }) {
  const name = place.name || place.id;
  const step = (event: KeyboardEvent) => {
    const by: Record<string, [number, number]> = {
      ArrowLeft: [-0.02, 0],
      ArrowRight: [0.02, 0],
      ArrowUp: [0, -0.05],
      ArrowDown: [0, 0.05],
    };
    const moved = by[event.key];
    if (!moved) return;
    event.preventDefault();
    move_place(place.id, name, { along: share(spot.along + moved[0]), across: share(spot.across + moved[1]) });
  };
  return (
    <g
      class="plan-place"
      role="button"
      tabIndex={0}
      aria-label={`${name}: drag, or move with the arrow keys`}
      onPointerDown={drag}
      onKeyDown={step}
    >
      <circle cx={x_of(spot.along)} cy={y_of(spot.across)} r="24" class="plan-target" />
      <circle cx={x_of(spot.along)} cy={y_of(spot.across)} r="6" />
      <text x={x_of(spot.along)} y={y_of(spot.across) - 10} text-anchor="middle">
        {name}
      </text>
    </g>
  );
}

export function PlacesPlan({ graft }: { graft: Graft }) {
  const box = useRef<SVGSVGElement>(null);
  const [held, set_held] = useState<{ id: string; spot: Spot } | null>(null);
  const places = (graft.places ?? []).filter((place) => place.along !== undefined && place.across !== undefined);
  const spot_of = (place: Place): Spot => (held?.id === place.id ? held.spot : { along: place.along ?? 0, across: place.across ?? 0 });
  const spot_at = (event: PointerEvent): Spot => {
    const frame = box.current?.getBoundingClientRect();
    if (!frame) return { along: 0, across: 0 };
    const x = ((event.clientX - frame.left) / frame.width) * width;
    const y = ((event.clientY - frame.top) / frame.height) * height;
    return { along: share((x - margin) / (width - 2 * margin)), across: share((y - margin) / (height - 2 * margin)) };
  };
  const spots = new Map(places.map((place) => [place.id, spot_of(place)]));
  return (
    <section class="sheet stack no-print" aria-label="Plan of the vehicle">
      <div class="row">
        <ShapeChoice graft={graft} />
      </div>
      {places.length === 0 ? (
        <p class="soft">
          Choose the vehicle's shape: its usual places and distances are added as guesses, each with the interval it lies in.
        </p>
      ) : (
        <>
          <p class="soft">Front at the left. Drag a place to where it is; type measured lengths into the table of paths.</p>
          <svg
            ref={box}
            class="places-plan"
            viewBox={`0 0 ${width} ${height}`}
            role="group"
            aria-label="Places of the vehicle from above"
            onPointerMove={(event) => held && set_held({ ...held, spot: spot_at(event) })}
            onPointerUp={() => {
              if (held) move_place(held.id, graft.places?.find((place) => place.id === held.id)?.name ?? "a place", held.spot);
              set_held(null);
            }}
            onPointerLeave={() => set_held(null)}
          >
            <rect x={margin / 2} y={margin / 2} width={width - margin} height={height - margin} rx="28" class="plan-body" />
            {(graft.paths ?? []).map((path) => {
              const from = spots.get(path.from ?? "");
              const to = spots.get(path.to ?? "");
              return from && to ? (
                <line
                  key={path.id}
                  class="plan-path"
                  x1={x_of(from.along)}
                  y1={y_of(from.across)}
                  x2={x_of(to.along)}
                  y2={y_of(to.across)}
                />
              ) : null;
            })}
            {places.map((place) => (
              <PlaceMark
                key={place.id}
                place={place}
                spot={spot_of(place)}
                drag={(event) => {
                  event.preventDefault();
                  set_held({ id: place.id, spot: spot_at(event) });
                }}
              />
            ))}
          </svg>
        </>
      )}
    </section>
  );
}
